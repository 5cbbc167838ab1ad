/* The serial line. Receiving is modelled here: bytes take ten bit times, two wait in the buffer and one in the
 * shift register, and a fourth overwrites the third and sets DOR (ATmega328P data sheet, USART, data overrun;
 * from memory). Sending is libsimavr's, with ten bits a byte instead of eleven.
 */

#include "board.h"
#include "sim_cycle_timers.h"
#include "sim_interrupts.h"

#define BITS_PER_BYTE 10
#define RATE_TOLERANCE_PERCENT 4 /* of a byte sampled in its middle; common practice, no source */

static uint64_t own_byte(const struct board *board)
{
    avr_t *avr = board->avr;
    const avr_uart_t *uart = board->uart;
    uint64_t divider = (avr_regbit_get(avr, uart->ubrrl) | avr_regbit_get(avr, uart->ubrrh) << 8) + 1;
    return divider * (avr_regbit_get(avr, uart->u2x) ? 8 : 16) * BITS_PER_BYTE;
}

/* What the other side makes of a byte that was sent at too different a rate. */
static uint8_t as_read(struct board *board, uint8_t byte)
{
    int64_t own = (int64_t)own_byte(board), other = (int64_t)board->host_byte;
    int64_t apart = own > other ? own - other : other - own;
    if (apart * 100 <= other * RATE_TOLERANCE_PERCENT)
        return byte;
    board->figures.garbled++;
    return (uint8_t)(byte << 1 | 1);
}

static void signal_received(struct board *board)
{
    avr_t *avr = board->avr;
    if (!avr_regbit_get(avr, board->uart->rxen))
        board->received_count = 0;
    if (board->received_count)
        avr_raise_interrupt(avr, &board->uart->rxc);
    else
        avr_regbit_clear(avr, board->uart->rxc.raised);
}

static uint8_t read_data(struct avr_t *avr, avr_io_addr_t address, void *param)
{
    struct board *board = param;
    uint8_t byte = board->received[0];
    avr_clear_interrupt(avr, &board->uart->rxc);
    avr_regbit_clear(avr, board->uart->rxc.raised);
    avr_regbit_clear(avr, board->uart->dor);
    if (board->received_count) {
        board->received[0] = board->received[1];
        board->received[1] = board->received[2];
        board->received_count--;
    }
    signal_received(board);
    avr->data[address] = byte;
    return byte;
}

static void start_bit(struct board *board)
{
    if (board->received_count == 3) {
        board->received_count = 2;
        board->figures.overruns++;
        avr_regbit_set(board->avr, board->uart->dor);
    }
}

static avr_cycle_count_t stop_bit(struct avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    struct line *line = &board->from_host;
    if (line->read == line->write) { /* the cable was pulled in the middle of this byte */
        board->receiving = 0;
        return 0;
    }
    uint8_t byte = as_read(board, line->byte[line->read++ % LINE_BYTES]);
    if (board->lose) {
        board->lose--;
        board->figures.overruns++;
        avr_regbit_set(avr, board->uart->dor);
    } else if (avr_regbit_get(avr, board->uart->rxen))
        board->received[board->received_count++] = byte;
    signal_received(board);
    board->receiving = line->read != line->write;
    if (!board->receiving)
        return 0;
    start_bit(board);
    return when + board->host_byte;
}

static avr_cycle_count_t line_sent(struct avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)avr, (void)when;
    stop_soon(param);
    return 0;
}

static void sent(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    struct line *line = &board->to_host;
    uint64_t now = board->avr->cycle;
    (void)irq;
    if (line->write - line->read == LINE_BYTES) { /* nobody has listened for more than a second */
        board->figures.unheard++;
        return;
    }
    board->sent_until = (board->sent_until > now ? board->sent_until : now) + own_byte(board);
    line->byte[line->write % LINE_BYTES] = as_read(board, (uint8_t)value);
    line->due[line->write++ % LINE_BYTES] = board->sent_until;
    if (value == '\n')
        avr_cycle_timer_register(board->avr, board->sent_until - now, line_sent, board);
}

static void rate_written(struct board *board) { board->uart->cycles_per_byte = own_byte(board); }

void uart_attach(struct board *board)
{
    avr_t *avr = board->avr;
    avr_uart_t *uart = board->uart;
    uart->flags = 0; /* neither echo lines to standard output nor sleep on idle polls */
    avr_irq_register_notify(uart->io.irq + UART_IRQ_OUTPUT, sent, board);
    avr->io[AVR_DATA_TO_IO(uart->r_udr)].r.c = read_data;
    avr->io[AVR_DATA_TO_IO(uart->r_udr)].r.param = board;
    after_write(board, uart->ubrrl.reg, rate_written);
    after_write(board, uart->ubrrh.reg, rate_written);
    after_write(board, uart->r_ucsra, rate_written);
    after_write(board, uart->r_ucsrb, signal_received); /* enabled late, what waits is signalled at once */
}

/* The cable is pulled: what is on the way is gone. */
void tw_cut(struct board *board)
{
    struct line *out = &board->to_host;
    board->from_host.read = board->from_host.write;
    while (out->write != out->read && out->due[(out->write - 1) % LINE_BYTES] > board->avr->cycle)
        out->write--;
}

void uart_reset(struct board *board)
{
    tw_cut(board);
    board->receiving = board->received_count = 0;
    board->sent_until = 0;
}

/* Bytes from a host that sends one in `byte_cycles`; lost while the boot loader has the chip. Returns how many there
 * was room for. */
size_t tw_receive(struct board *board, const uint8_t *data, size_t length, uint64_t byte_cycles)
{
    struct line *line = &board->from_host;
    board->host_byte = byte_cycles;
    if (board->avr->cycle < board->hold_until)
        return length;
    size_t taken = 0;
    while (taken < length && line->write - line->read < LINE_BYTES)
        line->byte[line->write++ % LINE_BYTES] = data[taken++];
    if (!board->receiving && line->write != line->read) {
        board->receiving = 1;
        start_bit(board);
        avr_cycle_timer_register(board->avr, byte_cycles, stop_bit, board);
    }
    return taken;
}

/* Bytes whose stop bit is over; returns how many. */
size_t tw_sent(struct board *board, uint8_t *data, size_t room)
{
    struct line *line = &board->to_host;
    size_t length = 0;
    while (length < room && line->read != line->write &&
           line->due[line->read % LINE_BYTES] <= board->avr->cycle)
        data[length++] = line->byte[line->read++ % LINE_BYTES];
    return length;
}

/* The next `bytes` received are lost to an overrun. */
void tw_lose(struct board *board, int bytes) { board->lose = bytes; }

void tw_line_rate(struct board *board, uint64_t byte_cycles) { board->host_byte = byte_cycles; }
