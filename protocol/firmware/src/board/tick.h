/* The millisecond: Timer1. Its interrupt also reads the knob and is the pumps' last line of defence. */
#ifndef TAREWELL_TICK_H
#define TAREWELL_TICK_H

#include <stdint.h>

#include "../portable/knob.h"

void tick_setup(void);

uint32_t tick_now_ms(void);

/* Low byte of the clock: enough to see that a millisecond has passed, and read in one instruction. */
uint8_t tick_low_byte(void);

/* Clicks of the knob to report now. */
int8_t tick_knob_steps(uint32_t now_ms);

/* From now on the pumps may be driven for so many milliseconds; then the interrupt cuts them off by itself. 0 leaves
 * nothing to cut. */
void tick_allow_ms(uint16_t left_ms);

#endif
