/* HD44780-compatible display behind an 8-bit I2C expander (P0 RS, P1 RW, P2 E, P3 backlight, P4 to P7 data).
 * Instruction times as in common data sheets of that controller, from memory; an instruction that comes sooner is
 * lost and counted. libsimavr's I2C takes a microsecond a bit; here it takes the time that TWBR says.
 */

#include <string.h>

#include "board.h"
#include "sim_cycle_timers.h"

#define EXPANDER_ADDRESS 0x27
#define RS 0x01
#define RW 0x02
#define ENABLE 0x04
#define LONG_CYCLES (1520 * 16)
#define SHORT_CYCLES (37 * 16)
#define LINE_LAST 0x27 /* of the first memory line; the second is 0x40 to 0x67 */
#define SECOND_LINE 0x40

static void instruct(struct board *board, uint8_t byte)
{
    if (byte & 0x80) {
        board->address = byte & 0x7F;
        board->in_cgram = 0;
    } else if (byte & 0x40)
        board->in_cgram = 1;
    else if (byte & 0x20)
        board->four_bit = !(byte & 0x10);
    else if ((byte & 0xF8) == 0x08)
        board->display_on = byte >> 2 & 1;
    else if (byte == 0x01 || (byte & 0xFE) == 0x02) {
        board->address = board->in_cgram = 0;
        board->display_busy_until = board->avr->cycle + LONG_CYCLES;
        if (byte == 0x01)
            memset(board->ddram, ' ', DDRAM_BYTES);
    }
}

static void show(struct board *board, uint8_t byte)
{
    if (board->in_cgram)
        return;
    board->ddram[board->address] = byte;
    board->address++;
    if (board->address == LINE_LAST + 1)
        board->address = SECOND_LINE;
    else if (board->address > SECOND_LINE + LINE_LAST)
        board->address = 0;
}

static void take(struct board *board, int rs, uint8_t byte)
{
    uint64_t now = board->avr->cycle;
    if (now < board->display_busy_until) {
        board->figures.display_too_soon++;
        return;
    }
    board->display_busy_until = now + SHORT_CYCLES;
    if (rs)
        show(board, byte);
    else
        instruct(board, byte);
}

/* The expander's outputs change; the display takes what stood there when E falls. */
static void expand(struct board *board, uint8_t byte)
{
    uint8_t before = board->expander;
    board->expander = byte;
    board->figures.display_bytes++;
    if (!(before & ENABLE) || byte & ENABLE || before & RW)
        return;
    uint8_t nibble = before >> 4;
    if (!board->four_bit)
        take(board, before & RS, (uint8_t)(nibble << 4));
    else if (board->high_nibble < 0)
        board->high_nibble = nibble;
    else {
        uint8_t whole = (uint8_t)(board->high_nibble << 4 | nibble);
        board->high_nibble = -1;
        take(board, before & RS, whole);
    }
}

static void bus(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    avr_twi_msg_irq_t message = {.u.v = value};
    (void)irq;
    if (message.u.twi.msg & TWI_COND_STOP)
        board->display_selected = 0;
    if (message.u.twi.msg & TWI_COND_START)
        board->display_selected = board->display_attached && message.u.twi.addr == EXPANDER_ADDRESS << 1;
    else if (board->display_selected && message.u.twi.msg & TWI_COND_WRITE)
        expand(board, message.u.twi.data);
    if (board->display_selected)
        avr_raise_irq(board->twi->io.irq + TWI_IRQ_INPUT, avr_twi_irq_msg(TWI_COND_ACK, message.u.twi.addr, 1));
}

/* Give what libsimavr has just started on the bus its real duration. */
static void control_written(struct board *board)
{
    avr_t *avr = board->avr;
    const avr_twi_t *twi = board->twi;
    if (board->faults.bus_clocks) { /* somebody holds the data line: nothing that is started ends */
        for (avr_cycle_timer_slot_p slot = avr->cycle_timers.timer, next; slot; slot = next) {
            next = slot->next;
            if (slot->param == twi)
                avr_cycle_timer_cancel(avr, slot->timer, slot->param);
        }
        avr_regbit_clear(avr, twi->twi.raised);
        return;
    }
    uint64_t bit = 16 + 2ULL * avr->data[twi->r_twbr] * (1U << 2 * avr_regbit_get(avr, twi->twps));
    for (avr_cycle_timer_slot_p slot = avr->cycle_timers.timer; slot; slot = slot->next)
        if (slot->param == twi) {
            avr_cycle_timer_register(avr, avr_regbit_get(avr, twi->twsta) ? 2 * bit : 9 * bit, slot->timer, slot->param);
            return;
        }
}

void display_attach(struct board *board)
{
    board->display_attached = 1;
    avr_irq_register_notify(board->twi->io.irq + TWI_IRQ_OUTPUT, bus, board);
    after_write(board, board->twi->r_twcr, control_written);
}

void display_power_on(struct board *board)
{
    memset(board->ddram, ' ', DDRAM_BYTES);
    board->four_bit = board->display_on = board->address = board->in_cgram = 0;
    board->high_nibble = -1;
    board->expander = 0xFF; /* the expander's outputs are high after power-up */
}

/* The display's memory, or nothing while it is off. */
const uint8_t *tw_display(const struct board *board) { return board->display_on ? board->ddram : NULL; }

void tw_attach_display(struct board *board, int attached) { board->display_attached = attached; }
