/* What the board says, SPEC.md sections 3 and 4: each function writes one whole line. Most messages are rows of
 * wire.h; a sample and the answer to `hello` are written by hand. */
#ifndef TAREWELL_MESSAGES_H
#define TAREWELL_MESSAGES_H

#include <stdbool.h>
#include <stdint.h>

#include "line.h"
#include "request.h"

struct tw_sample {
    uint32_t board_ms;
    int32_t counts;
    uint16_t number;
    uint8_t mask;
    bool saturated;
    bool latched;
    bool lost;
    bool interlock_open;
    bool supply_off;
};

struct tw_identity {
    const TW_FLASH char *firmware;
    const TW_FLASH char *board_id;
    uint32_t full_scale_counts;
    uint16_t sample_rate_tenths;
    uint16_t filter_delay_ms;
    uint8_t protocol;
    uint8_t channels;
    uint8_t columns;
    uint8_t rows; /* 0: no display */
    bool reverse;
    bool variable_speed;
    bool knob;
    bool interlock;
    bool supply_sense;
    enum tw_reset_cause cause;
};

#define TW_SAYING_NAME(name, ...) TW_SAY_##name,

enum tw_saying { TW_SAYINGS(TW_SAYING_NAME, TW_NOTHING) TW_SAYINGS_COUNT };

void tw_say_sample(struct tw_line *line, const struct tw_sample *sample);

void tw_say_identity(struct tw_line *line, uint8_t seq, const struct tw_identity *identity);

/* An answer with the number of its request, or an event with its own. `values` are its fields in the order of
 * wire.h; of a word, its number in its enumeration. */
void tw_say(struct tw_line *line, uint8_t number, enum tw_saying saying, const uint32_t *values);

void tw_say_plain(struct tw_line *line, uint8_t seq, enum tw_reason reason); /* `ok` or `no REASON` */

#endif
