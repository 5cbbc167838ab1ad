/* The knob, a two-phase encoder, and its push button. */
#ifndef TAREWELL_KNOB_H
#define TAREWELL_KNOB_H

#include <stdbool.h>
#include <stdint.h>

#define TW_KNOB_REPORT_MS 10U
#define TW_LONG_PRESS_MS 1000U

/* Both contacts are open (level 1) where the knob clicks; one click passes all four states. */
struct tw_knob {
    uint8_t phases;   /* last levels, A in bit 1, B in bit 0 */
    int8_t quarters;  /* valid transitions since the last click */
    int16_t steps;    /* clicks not reported yet, clockwise positive */
    uint32_t told_ms; /* last report */
};

void tw_knob_init(struct tw_knob *knob);

/* The levels of both phases, once a millisecond. Contact bounce goes to and fro between neighbouring states and
 * cancels itself; a jump over one state counts nothing. */
void tw_knob_sample(struct tw_knob *knob, bool a, bool b);

/* Clicks to report, -127 to 127, the rest stays; 0 when there are none or the last report is too young. */
int8_t tw_knob_take(struct tw_knob *knob, uint32_t now_ms);

/* A level counts when it was the same for eight samples, so eight milliseconds. */
struct tw_button {
    uint8_t history;
    bool down;
};

void tw_button_init(struct tw_button *button);

/* One sample, once a millisecond; true when `down` has changed by it. */
bool tw_button_sample(struct tw_button *button, bool pressed);

#endif
