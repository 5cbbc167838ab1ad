/* The chip: loading, running up to a cycle, resets, and the quirks of libsimavr that concern all of it. */

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "avr_extint.h"
#include "avr_watchdog.h"
#include "board.h"
#include "sim_cycle_timers.h"
#include "sim_elf.h"
#include "sim_interrupts.h"

#define F_CPU 16000000UL
#define BURST_CYCLES 4000 /* instructions run in one go; the end of a run and pending timers cut it short */
#define RAM_FILL 0xA6     /* SRAM after power-up: arbitrary on the chip, something else than its own paint here */
#define MCUSR 0x54
#define RJMP_TO_ITSELF 0xCFFF

static void quiet(struct avr_t *avr, const int severity, const char *format, va_list args)
{
    (void)avr, (void)severity, (void)format, (void)args;
}

/* Pins */

int level(const struct board *board, int pin)
{
    const avr_ioport_t *port = board->port[pin / 8];
    uint8_t mask = 1 << pin % 8;
    const uint8_t *data = board->avr->data;
    return (data[port->r_ddr] & data[port->r_port] & mask) != 0; /* an input is pulled down */
}

void drive_input(struct board *board, int pin, int high)
{
    avr_ioport_t *port = board->port[pin / 8];
    uint8_t mask = 1 << pin % 8;
    port->external.pull_mask |= mask;
    port->external.pull_value = (port->external.pull_value & ~mask) | (high ? mask : 0);
    avr_raise_irq(port->io.irq + pin % 8, high != 0);
}

/* Hooks behind register writes */

static void written(struct avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    struct hook *hook = param;
    if (hook->next)
        hook->next(avr, address, value, hook->param);
    else
        avr_core_watch_write(avr, address, value);
    hook->after(hook->board);
}

void after_write(struct board *board, avr_io_addr_t address, void (*after)(struct board *board))
{
    struct hook *hook = &board->hooks[board->hook_count++];
    avr_io_addr_t io = AVR_DATA_TO_IO(address);
    hook->board = board;
    hook->next = board->avr->io[io].w.c;
    hook->param = board->avr->io[io].w.param;
    hook->after = after;
    board->avr->io[io].w.c = written;
    board->avr->io[io].w.param = hook;
}

void *find_io(struct board *board, const char *kind)
{
    for (avr_io_t *io = board->avr->io_port; io; io = io->next)
        if (!strcmp(io->kind, kind))
            return io;
    return NULL;
}

void stop_soon(struct board *board)
{
    board->changed = 1;
    board->avr->run_cycle_count = 1; /* this instruction is the last of its burst */
}

/* What the firmware's main loop and interrupts take: a pass lies between two resets of the watchdog */

static int watchdog_ioctl(struct avr_io_t *io, uint32_t ctl, void *param)
{
    struct board *board = (struct board *)io->avr->custom.data;
    if (ctl == AVR_IOCTL_WATCHDOG_RESET) {
        uint64_t awake = io->avr->cycle - board->pass_start - (board->slept - board->pass_slept);
        if (board->looping && awake > board->figures.longest_pass)
            board->figures.longest_pass = awake;
        board->figures.passes += board->looping;
        board->looping = 1;
        board->pass_start = io->avr->cycle;
        board->pass_slept = board->slept;
    }
    return board->watchdog_ioctl(io, ctl, param);
}

static void interrupt_runs(struct avr_irq_t *irq, uint32_t vector, void *param)
{
    struct board *board = param;
    (void)irq;
    if (vector)
        board->interrupt_start = board->avr->cycle;
    else if (board->avr->cycle - board->interrupt_start > board->figures.longest_interrupt)
        board->figures.longest_interrupt = board->avr->cycle - board->interrupt_start;
}

static void sleep_at_once(struct avr_t *avr, avr_cycle_count_t cycles)
{
    ((struct board *)avr->custom.data)->slept += cycles;
}

/* Resets */

static avr_cycle_count_t end_of_run(struct avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)avr, (void)when, (void)param;
    return 0; /* it is enough that the burst ends here */
}

static void was_reset(struct avr_io_t *io)
{
    struct board *board = (struct board *)io->avr->custom.data;
    avr_t *avr = board->avr;
    avr->run_cycle_limit = BURST_CYCLES;
    if (board->until > avr->cycle)
        avr_cycle_timer_register(avr, board->until - avr->cycle, end_of_run, board);
    for (int i = 0; i < PORTS; i++) /* the chip forgot what stands at its inputs */
        avr->data[board->port[i]->r_pin] = board->port[i]->external.pull_value;
    board->figures.resets++;
    board->looping = 0;
    board->figures.passes = 0;
    board->hold_until = avr->cycle + board->boot_cycles;
    uart_reset(board);
    outputs_changed(board);
}

static void power_up(struct board *board)
{
    memset(board->avr->data + board->avr->ioend + 1, RAM_FILL, board->avr->ramend - board->avr->ioend);
    outputs_power_on(board);
    display_power_on(board);
}

/* The interface to Python */

struct board *tw_new(const char *elf_path, uint64_t boot_cycles)
{
    avr_global_logger_set(quiet);
    elf_firmware_t elf;
    memset(&elf, 0, sizeof elf);
    if (elf_read_firmware(elf_path, &elf))
        return NULL;
    struct board *board = calloc(1, sizeof *board);
    avr_t *avr = board->avr = avr_make_mcu_by_name("atmega328p");
    avr->custom.data = board;
    avr_init(avr);
    avr->frequency = F_CPU;
    avr->log = 0;
    avr->sleep = sleep_at_once;
    elf.frequency = F_CPU;
    avr_load_firmware(avr, &elf);
    for (avr_io_t *io = avr->io_port; io; io = io->next)
        if (!strcmp(io->kind, "port")) {
            avr_ioport_t *port = (avr_ioport_t *)io;
            board->port[port->name - 'B'] = port;
        }
    board->watchdog = find_io(board, "watchdog");
    board->watchdog_ioctl = board->watchdog->ioctl;
    board->watchdog->ioctl = watchdog_ioctl;
    avr_irq_register_notify(avr->interrupts.irq + AVR_INT_IRQ_RUNNING, interrupt_runs, board);
    for (int i = 0; i < PORTS; i++) {
        after_write(board, board->port[i]->r_ddr, outputs_changed);
        after_write(board, board->port[i]->r_port, outputs_changed);
        after_write(board, board->port[i]->r_pin, outputs_changed);
    }
    avr_extint_set_strict_lvl_trig(avr, 0, 0); /* or D2 and D3 are polled in every cycle in which they are low */
    avr_extint_set_strict_lvl_trig(avr, 1, 0);
    uart_attach(board);
    loadcell_attach(board);
    outputs_attach(board);
    display_attach(board);
    drive_input(board, PIN_KNOB_A, 1);
    drive_input(board, PIN_KNOB_B, 1);
    drive_input(board, PIN_BUTTON, 1);
    board->resetting.kind = "tarewell";
    board->resetting.reset = was_reset;
    avr_register_io(avr, &board->resetting);
    power_up(board);
    was_reset(&board->resetting);
    board->boot_cycles = boot_cycles;
    board->figures.resets = 0;
    return board;
}

void tw_free(struct board *board)
{
    avr_t *avr = board->avr;
    avr->custom.deinit = NULL;
    avr_terminate(avr);
    free(avr);
    free(board);
}

/* 0 when `until` was reached, 1 when a pump's drive has changed before, -1 when the chip has stopped for good. */
int tw_run(struct board *board, uint64_t until)
{
    avr_t *avr = board->avr;
    board->until = until;
    board->changed = 0;
    if (until > avr->cycle)
        avr_cycle_timer_register(avr, until - avr->cycle, end_of_run, board);
    while (avr->cycle < until && !board->changed) {
        if (avr->cycle < board->hold_until) { /* the boot loader has the chip, its pins are inputs */
            avr->cycle = until < board->hold_until ? until : board->hold_until;
            board->watchdog_ioctl(board->watchdog, AVR_IOCTL_WATCHDOG_RESET, NULL);
            continue;
        }
        int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed || state == cpu_Stopped)
            return -1;
    }
    board->figures.awake = avr->cycle - board->slept;
    avr_cycle_timer_cancel(avr, end_of_run, board);
    return board->changed;
}

uint64_t tw_cycle(const struct board *board) { return board->avr->cycle; }

uint32_t tw_pc(const struct board *board) { return board->avr->pc; }

/* `cause` is the bit of MCUSR; power-up and brown-out also lose RAM, display and shift register. */
void tw_reset(struct board *board, int cause)
{
    enum { PORF = 0, BORF = 2 };
    avr_reset(board->avr);
    board->avr->data[MCUSR] = 1 << cause;
    if (cause == PORF || cause == BORF)
        power_up(board);
}

/* The firmware hangs in an endless loop, with interrupts still served or not. */
void tw_hang(struct board *board, int interrupts)
{
    avr_t *avr = board->avr;
    uint32_t last = avr->flashend - 1;
    avr->flash[last] = RJMP_TO_ITSELF & 0xff;
    avr->flash[last + 1] = RJMP_TO_ITSELF >> 8;
    avr->pc = last;
    avr->state = cpu_Running;
    avr->sreg[S_I] = interrupts != 0;
}

void tw_knob(struct board *board, int a_closed, int b_closed, int pressed)
{
    drive_input(board, PIN_KNOB_A, !a_closed);
    drive_input(board, PIN_KNOB_B, !b_closed);
    drive_input(board, PIN_BUTTON, !pressed);
}

const struct figures *tw_figures(const struct board *board) { return &board->figures; }

void tw_forget_figures(struct board *board) { memset(&board->figures, 0, sizeof board->figures); }

/* Lowest address of SRAM from `above` on that no longer holds the paint of the start-up code. */
uint32_t tw_deepest(const struct board *board, uint32_t above, uint8_t paint)
{
    const avr_t *avr = board->avr;
    uint32_t address = above;
    while (address <= avr->ramend && avr->data[address] == paint)
        address++;
    return address;
}

const uint8_t *tw_data(const struct board *board) { return board->avr->data; }
