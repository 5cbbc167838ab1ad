/* An ATmega328P with what is soldered to it, on top of libsimavr: host's serial line, load-cell ADC, bridges,
 * shift register, knob and display. Time is the chip's cycle counter. One board per tw_new, any number of boards.
 */
#ifndef TAREWELL_AVR_BOARD_H
#define TAREWELL_AVR_BOARD_H

#include <stddef.h>
#include <stdint.h>

#include "avr_ioport.h"
#include "avr_twi.h"
#include "avr_uart.h"
#include "sim_avr.h"

#define CHANNELS 8
#define HOOKS 32
#define LINE_BYTES 16384 /* what may wait in each direction */
#define PORTS 3          /* B, C, D */
#define DDRAM_BYTES 128

enum { PORT_B, PORT_C, PORT_D };

/* A pin as port * 8 + bit, from the firmware's own table. */
enum {
#define PIN(name, port, bit, label, direction, what) PIN_##name = PORT_##port * 8 + (bit),
#include "pins.h"
    PINS(PIN)
#undef PIN
};

struct board;

struct hook { /* something done after the chip has carried out a write to a register */
    struct board *board;
    avr_io_write_t next;
    void *param;
    void (*after)(struct board *board);
};

struct line { /* bytes that wait, each with the cycle at which its stop bit is over */
    uint8_t byte[LINE_BYTES];
    uint64_t due[LINE_BYTES];
    uint32_t read, write;
};

struct figures { /* read by Python; all 64 bit, in this order */
    uint64_t passes, longest_pass, longest_interrupt, awake;
    uint64_t conversions, reads, unread, collisions, broken, stray, power_downs, gain_changes, longest_high;
    uint64_t overruns, garbled, unheard;
    uint64_t display_bytes, display_too_soon;
    uint64_t eeprom_writes;
    uint64_t resets;
};

struct faults { /* what tests break */
    int open_data, stiff_hum, hum, short_after, shorted;
    uint64_t hum_cycles[2]; /* low, high */
    int speed_held, bus_clocks, bus_scl, watchdog_dead;
    int loader_clears, loader_r2;
    uint16_t stuck_address;
    uint8_t stuck_bits;
    uint64_t stalled_until;
    uint32_t stalled_pc;
    int stalled_interrupts;
};

struct board {
    avr_t *avr;
    avr_uart_t *uart;
    avr_twi_t *twi;
    avr_ioport_t *port[PORTS];
    struct avr_io_t *watchdog;
    int (*watchdog_ioctl)(struct avr_io_t *io, uint32_t ctl, void *param);
    struct avr_io_t resetting;
    struct hook hooks[HOOKS];
    uint8_t written; /* what the hook's register was given */
    int hook_count;
    uint64_t until, hold_until, boot_cycles;
    int changed, looping, holding, incomplete;
    struct faults faults;
    uint64_t pass_start, pass_slept, slept, interrupt_start;
    struct figures figures;

    struct line from_host, to_host;
    uint64_t host_byte, sent_until;
    uint8_t received[3];
    int received_count, receiving, lose;

    int32_t value;
    int ready, pulses, clock, settling;
    uint64_t clock_rose, clock_moved;

    void *timer2;
    double drive[CHANNELS];
    uint8_t shift_stages, shift_outputs;
    int shift_clock;

    int display_attached, display_selected;
    uint8_t expander;
    uint8_t ddram[DDRAM_BYTES];
    int four_bit, high_nibble, display_on, address, in_cgram;
    uint64_t display_busy_until;
};

/* core.c */
int level(const struct board *board, int pin);
void drive_input(struct board *board, int pin, int high);
void after_write(struct board *board, avr_io_addr_t address, void (*after)(struct board *board));
void stop_soon(struct board *board);

/* uart.c */
void uart_attach(struct board *board);
void uart_reset(struct board *board);
void tw_cut(struct board *board);

/* loadcell.c */
void loadcell_attach(struct board *board);
void loadcell_reset(struct board *board);

/* faults.c */
void faults_run(struct board *board);
void faults_reset(struct board *board);

/* outputs.c */
void outputs_attach(struct board *board);
void outputs_power_on(struct board *board);
void outputs_changed(struct board *board);

/* display.c */
void display_attach(struct board *board);
void display_power_on(struct board *board);

#endif
