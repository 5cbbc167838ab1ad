/* The chip: loading, running up to a cycle, resets, and the quirks of libsimavr that concern all of it. */

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "avr_extint.h"
#include "avr_timer.h"
#include "avr_watchdog.h"
#include "board.h"
#include "sim_cycle_timers.h"
#include "sim_elf.h"
#include "sim_interrupts.h"

#define F_CPU 16000000UL
#define BURST_CYCLES 4000 /* instructions run in one go; the end of a run and pending timers cut it short */
#define RAM_FILL 0xA6     /* SRAM after power-up: arbitrary on the chip, something else than its own paint here */
#define MCUSR 0x54
#define EECR 0x3F
#define EEPE 1
#define SUPPLY_MV 5000

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
    hook->board->written = value;
    if (hook->next)
        hook->next(avr, address, value, hook->param);
    else
        avr_core_watch_write(avr, address, value);
    hook->after(hook->board);
}

void after_write(struct board *board, avr_io_addr_t address, void (*after)(struct board *board))
{
    if (board->hook_count == HOOKS) {
        board->incomplete = 1;
        return;
    }
    struct hook *hook = &board->hooks[board->hook_count++];
    avr_io_addr_t io = AVR_DATA_TO_IO(address);
    hook->board = board;
    hook->next = board->avr->io[io].w.c;
    hook->param = board->avr->io[io].w.param;
    hook->after = after;
    board->avr->io[io].w.c = written;
    board->avr->io[io].w.param = hook;
}

/* The chip's units, as libsimavr has them; false if one is missing. */
static int find_units(struct board *board)
{
    for (avr_io_t *io = board->avr->io_port; io; io = io->next) {
        if (!strcmp(io->kind, "port")) {
            avr_ioport_t *port = (avr_ioport_t *)io;
            if (port->name >= 'B' && port->name < 'B' + PORTS)
                board->port[port->name - 'B'] = port;
        } else if (!strcmp(io->kind, "timer") && ((avr_timer_t *)io)->name == '2')
            board->timer2 = io;
        else if (!strcmp(io->kind, "watchdog"))
            board->watchdog = io;
        else if (!strcmp(io->kind, "uart"))
            board->uart = (avr_uart_t *)io;
        else if (!strcmp(io->kind, "twi"))
            board->twi = (avr_twi_t *)io;
    }
    return board->port[PORT_B] && board->port[PORT_C] && board->port[PORT_D] && board->timer2 && board->watchdog &&
           board->uart && board->twi;
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
    board->holding = board->boot_cycles > 0;
    uart_reset(board);
    loadcell_reset(board);
    faults_reset(board);
    outputs_changed(board);
}

static void power_up(struct board *board)
{
    memset(board->avr->data + board->avr->ioend + 1, RAM_FILL, board->avr->ramend - board->avr->ioend);
    outputs_power_on(board);
    display_power_on(board);
}

/* The interface to Python */

static void eeprom_written(struct board *board)
{
    board->figures.eeprom_writes += board->written >> EEPE & 1;
}

static void free_image(elf_firmware_t *elf)
{
    for (uint32_t i = 0; i < elf->symbolcount; i++)
        free(elf->symbol[i]);
    free(elf->symbol);
    free(elf->flash);
    free(elf->eeprom);
    free(elf->fuse);
    free(elf->lockbits);
}

void tw_free(struct board *board)
{
    avr_t *avr = board->avr;
    avr->custom.deinit = NULL;
    avr_terminate(avr);
    free(avr);
    free(board);
}

static struct board *board_around(avr_t *avr, elf_firmware_t *elf)
{
    struct board *board = calloc(1, sizeof *board);
    if (!board || avr_init(avr)) {
        free(board);
        free(avr);
        return NULL;
    }
    board->avr = avr;
    avr->custom.data = board;
    avr->frequency = elf->frequency = F_CPU;
    avr->vcc = avr->avcc = avr->aref = SUPPLY_MV;
    avr->log = 0;
    avr->sleep = sleep_at_once;
    avr_load_firmware(avr, elf);
    if (find_units(board))
        return board;
    tw_free(board);
    return NULL;
}

/* A board with this program; NULL where it cannot be had: no such file, no memory, another libsimavr. */
struct board *tw_new(const char *elf_path, uint64_t boot_cycles)
{
    avr_global_logger_set(quiet);
    elf_firmware_t elf;
    memset(&elf, 0, sizeof elf);
    avr_t *avr = elf_read_firmware(elf_path, &elf) ? NULL : avr_make_mcu_by_name("atmega328p");
    struct board *board = avr ? board_around(avr, &elf) : NULL;
    free_image(&elf);
    if (!board)
        return NULL;
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
    after_write(board, EECR, eeprom_written);
    uart_attach(board);
    loadcell_attach(board);
    outputs_attach(board);
    display_attach(board);
    if (board->incomplete) {
        tw_free(board);
        return NULL;
    }
    drive_input(board, PIN_UART_RX, 1);
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

/* 0 when `until` was reached, 1 when a pump's drive has changed or a line has been sent before, -1 when the chip has
 * stopped for good. */
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
        if (board->holding) { /* it starts the program, and the program sees what it left */
            board->holding = 0;
            if (board->faults.loader_clears) {
                avr->data[MCUSR] = 0;
                avr->data[2] = (uint8_t)board->faults.loader_r2;
            }
        }
        faults_run(board);
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
