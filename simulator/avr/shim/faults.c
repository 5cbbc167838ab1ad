/* Faults of the chip itself: a program that hangs or stalls, a watchdog or timer that stands, memory that fails. */

#include <string.h>

#include "avr_adc.h"
#include "avr_watchdog.h"
#include "board.h"
#include "sim_cycle_timers.h"

#define RJMP_TO_ITSELF 0xCFFF
#define ANYWHERE_CYCLES 4000
#define MS_CYCLES 16000

static uint32_t loop_address(const struct board *board) { return board->avr->flashend - 1; }

/* The firmware hangs in an endless loop, with interrupts still served or not. */
void tw_hang(struct board *board, int interrupts)
{
    avr_t *avr = board->avr;
    uint32_t last = loop_address(board);
    avr->flash[last] = RJMP_TO_ITSELF & 0xff;
    avr->flash[last + 1] = RJMP_TO_ITSELF >> 8;
    avr->pc = last;
    avr->state = cpu_Running;
    avr->sreg[S_I] = interrupts != 0;
}

/* The same for a while; then it goes on where it was. */
void tw_stall(struct board *board, uint64_t cycles, int interrupts)
{
    struct faults *faults = &board->faults;
    faults->stalled_pc = board->avr->pc;
    faults->stalled_interrupts = board->avr->sreg[S_I];
    faults->stalled_until = board->avr->cycle + cycles;
    tw_hang(board, interrupts);
}

static void stall_ends(struct board *board)
{
    struct faults *faults = &board->faults;
    avr_t *avr = board->avr;
    if (avr->cycle + ANYWHERE_CYCLES < faults->stalled_until)
        return;
    avr->run_cycle_limit = 1; /* an instruction at a time, to meet the loop outside of an interrupt */
    if (avr->cycle >= faults->stalled_until && avr->pc == loop_address(board)) {
        avr->pc = faults->stalled_pc;
        avr->sreg[S_I] = faults->stalled_interrupts;
        avr->run_cycle_limit = ANYWHERE_CYCLES;
        faults->stalled_until = 0;
    }
}

/* Before each burst of instructions. */
void faults_run(struct board *board)
{
    struct faults *faults = &board->faults;
    if (faults->stalled_until)
        stall_ends(board);
    if (faults->stuck_bits) {
        board->avr->run_cycle_limit = 1;
        board->avr->data[faults->stuck_address] |= faults->stuck_bits;
    }
}

static avr_cycle_count_t feed(struct avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    (void)avr;
    board->watchdog_ioctl(board->watchdog, AVR_IOCTL_WATCHDOG_RESET, NULL);
    return when + MS_CYCLES;
}

/* The watchdog's oscillator stands. */
void tw_stop_watchdog(struct board *board)
{
    board->faults.watchdog_dead = 1;
    avr_cycle_timer_register(board->avr, MS_CYCLES, feed, board);
}

void faults_reset(struct board *board)
{
    board->faults.stalled_until = 0;
    if (board->faults.watchdog_dead)
        tw_stop_watchdog(board);
}

/* A register of a unit takes this value, as if the program had written it. */
void tw_write_register(struct board *board, uint16_t address, uint8_t value)
{
    avr_t *avr = board->avr;
    avr_io_addr_t io = AVR_DATA_TO_IO(address);
    if (avr->io[io].w.c)
        avr->io[io].w.c(avr, address, value, avr->io[io].w.param);
    else
        avr->data[address] = value;
}

/* Bits of a byte of RAM that are always set; 0 for none. Slow: an instruction at a time. */
void tw_stick_memory(struct board *board, uint16_t address, uint8_t bits)
{
    board->faults.stuck_address = address;
    board->faults.stuck_bits = bits;
    board->avr->run_cycle_limit = ANYWHERE_CYCLES;
}

/* Bits of a byte of flash turn over. */
void tw_flip_flash(struct board *board, uint32_t address, uint8_t bits) { board->avr->flash[address] ^= bits; }

/* The boot loader clears the reset cause, and leaves this in register 2. */
void tw_loader_clears(struct board *board, int r2)
{
    board->faults.loader_clears = 1;
    board->faults.loader_r2 = r2;
}

/* Something holds the speed line high, stronger than the chip. */
void tw_hold_speed(struct board *board, int held)
{
    board->faults.speed_held = held;
    drive_input(board, PIN_SPEED, held);
    outputs_changed(board);
}

/* Something holds the display's data line, for so many clocks. */
void tw_hold_bus(struct board *board, int clocks) { board->faults.bus_clocks = clocks; }

/* Millivolts at an input of the chip's own ADC. */
void tw_analog(struct board *board, int channel, uint32_t millivolts)
{
    avr_raise_irq(avr_io_getirq(board->avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0 + channel), millivolts);
}

/* Whether the chip's own pull-up holds this pin, port * 8 + bit. */
int tw_pulled_up(const struct board *board, int pin)
{
    const avr_ioport_t *port = board->port[pin / 8];
    const uint8_t *data = board->avr->data;
    return (data[port->r_port] & ~data[port->r_ddr]) >> pin % 8 & 1;
}

/* A real boot loader, at this address of flash: every reset starts it. */
void tw_install_loader(struct board *board, const uint8_t *image, uint32_t size, uint32_t address)
{
    memcpy(board->avr->flash + address, image, size);
    board->avr->reset_pc = address;
    board->avr->codeend = board->avr->flashend;
}
