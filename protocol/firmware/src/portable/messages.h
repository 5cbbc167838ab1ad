/* What the board says, SPEC.md sections 3 and 4: each function writes one whole line. */
#ifndef TAREWELL_MESSAGES_H
#define TAREWELL_MESSAGES_H

#include <stdbool.h>
#include <stdint.h>

#include "counters.h"
#include "line.h"
#include "request.h"
#include "words.h"

#define TW_PROTOCOL 1U

struct tw_sample {
    uint32_t board_ms;
    int32_t counts;
    uint16_t number;
    uint8_t mask;
    bool saturated;
    bool latched;
    bool lost;
};

struct tw_identity {
    const TW_FLASH char *firmware;
    const TW_FLASH char *board_id;
    uint32_t full_scale_counts;
    uint16_t sample_rate_hz;
    uint8_t protocol;
    uint8_t channels;
    uint8_t columns;
    uint8_t rows; /* 0: no display */
    bool reverse;
    bool variable_speed;
    bool knob;
    enum tw_reset_cause cause;
};

struct tw_state {
    uint8_t mask;
    bool latched;
    uint8_t last_channel;
    enum tw_stop_cause last_cause;
    uint8_t next_event;
};

struct tw_limits {
    uint32_t run_ms;
    int32_t lowest_counts;
    int32_t highest_counts;
    uint16_t lease_ms;
};

void tw_say_sample(struct tw_line *line, const struct tw_sample *sample);

void tw_say_plain(struct tw_line *line, uint8_t seq, enum tw_reason reason); /* `ok` or `no REASON` */
void tw_say_identity(struct tw_line *line, uint8_t seq, const struct tw_identity *identity);
void tw_say_state(struct tw_line *line, uint8_t seq, const struct tw_state *state);
void tw_say_stats(struct tw_line *line, uint8_t seq, const struct tw_counters *counters);
void tw_say_limits(struct tw_line *line, uint8_t seq, const struct tw_limits *limits);

void tw_say_stopped(struct tw_line *line, uint8_t number, uint8_t channel, enum tw_stop_cause cause,
                    uint32_t board_ms, uint32_t ran_ms);
void tw_say_button(struct tw_line *line, uint8_t number, enum tw_press press, uint32_t board_ms);
void tw_say_knob(struct tw_line *line, uint8_t number, int8_t steps, uint32_t board_ms);
void tw_say_boot(struct tw_line *line, uint8_t number, enum tw_reset_cause cause);

#endif
