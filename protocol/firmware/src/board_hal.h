/* What a board brings to the main loop: the one seam between firmware.c and a chip.
 *
 * src/board is the port for the ATmega328P, host/board one for this computer that speaks over a pseudo-terminal with
 * simulated parts. README.md tells what another chip must bring. Nothing here waits; times are milliseconds of the
 * board's clock, 32 bits, wrapping.
 */
#ifndef TAREWELL_BOARD_HAL_H
#define TAREWELL_BOARD_HAL_H

#include <stdbool.h>
#include <stdint.h>

#include "portable/board.h"

/* Start and clock */

/* Brings up every unit with all pumps off, tests the board, and tells how it came up. `out` is what hal_send sends. */
struct tw_boot hal_setup(struct tw_ring *out);

uint32_t hal_now_ms(void);

/* Called once in each new millisecond, by a main loop that saw the clock advance: feeds a watchdog that does not
 * depend on the processor, and that takes every pump's drive away within 20 ms when it starves. */
void hal_feed(void);

/* Sleeps until there may be something to do, one millisecond at most; may return at once. */
void hal_sleep(uint32_t now_ms);

/* Serial line, through rings in both directions */

/* The next byte from the host; false when none waits. */
bool hal_take_byte(uint8_t *byte);

/* Goes on sending if the ring given to hal_setup holds something. */
void hal_send(void);

/* Bytes lost since the last call, in the receiver or for want of room. */
uint8_t hal_take_overruns(void);

/* Load-cell ADC */

/* Reads a conversion if one is ready and can be believed; false otherwise. */
bool hal_convert(int32_t *counts);

/* Pumps */

/* Makes the outputs agree with what should run; channel 0 is nothing. Called in every pass. */
void hal_drive(const struct tw_run *run, uint32_t now_ms);

/* From now on the pumps may be driven for so many milliseconds; then an interrupt cuts them off, whatever the main
 * loop does. 0 while none runs. */
void hal_allow_ms(uint16_t left_ms);

/* Whether that has ended what hal_drive was told last. */
bool hal_was_cut(void);

/* Whether the gate of all pumps is at rest where the firmware holds it; always true while one runs. */
bool hal_gate_low(void);

/* The emergency stop that outlives a reset: called in every pass with what holds now. */
void hal_keep_latch(bool latched);

/* Hands and optional inputs; those that config.h leaves out are never asked for */

bool hal_button_down(void);

/* Clicks of the knob to report now. */
int8_t hal_knob_steps(uint32_t now_ms);

bool hal_interlock_open(void);
bool hal_supply_off(void);

/* Sends the next byte of the display, if the bus has finished the last one. */
void hal_show(struct tw_display *display, uint32_t now_ms);

#endif
