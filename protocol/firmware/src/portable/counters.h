/* What the `stats` answer tells, since reset; each count stays at its end. */
#ifndef TAREWELL_COUNTERS_H
#define TAREWELL_COUNTERS_H

#include <stdint.h>

struct tw_counters {
    uint16_t frames;
    uint16_t bad_crc;
    uint16_t overlong;
    uint16_t overruns;
    uint16_t lost;
    uint16_t late;
    uint16_t saturated;
};

static inline void tw_count(uint16_t *counter, uint16_t times)
{
    uint16_t room = (uint16_t)(UINT16_MAX - *counter);
    *counter = (uint16_t)(*counter + (times < room ? times : room));
}

#endif
