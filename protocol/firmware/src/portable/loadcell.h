/* The load-cell ADC's conversions: decoding, saturation, what was lost, and whether there is a fresh one. */
#ifndef TAREWELL_LOADCELL_H
#define TAREWELL_LOADCELL_H

#include <stdbool.h>
#include <stdint.h>

#include "counters.h"

#define TW_COUNTS_MIN (-8388608L)
#define TW_COUNTS_MAX 8388607L
#define TW_ADC_GUARD_MS 150U

struct tw_loadcell {
    int32_t counts; /* the last reading */
    uint32_t taken_ms;
    uint16_t number; /* of the last conversion, wraps */
    bool known;      /* there was a conversion since reset */
    bool fresh;      /* the last one is less than the guard time old */
    bool saturated;
    bool late; /* at least one was lost just before the last one */
};

void tw_loadcell_init(struct tw_loadcell *cell);

/* Extends the ADC's 24-bit two's complement code. */
int32_t tw_loadcell_counts(uint32_t code);

void tw_loadcell_convert(struct tw_loadcell *cell, int32_t counts, uint32_t now_ms, struct tw_counters *counters);

/* Call at least once in 49 days: freshness ends here, so that a wrapping clock cannot bring it back. */
void tw_loadcell_tick(struct tw_loadcell *cell, uint32_t now_ms);

/* Milliseconds for which the last reading stays fresh. */
uint16_t tw_loadcell_left_ms(const struct tw_loadcell *cell, uint32_t now_ms);

#endif
