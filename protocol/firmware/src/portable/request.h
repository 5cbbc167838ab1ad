/* What the host asks for, SPEC.md section 2, and why it may be refused, section 3. */
#ifndef TAREWELL_REQUEST_H
#define TAREWELL_REQUEST_H

#include <stdbool.h>
#include <stdint.h>

#define TW_SHOW_TEXT_MAX 20U

enum tw_verb {
    TW_HELLO,
    TW_RUN,
    TW_KEEP,
    TW_STOP,
    TW_ESTOP,
    TW_CLEAR,
    TW_SHOW,
    TW_STATE,
    TW_STATS,
    TW_LIMITS,
    TW_VERBS
};

/* In the order of SPEC.md: where more than one holds, the lower one is told. TW_OK is no refusal. */
enum tw_reason {
    TW_OK,
    TW_NO_VERB,
    TW_NO_ARGS,
    TW_NO_RANGE,
    TW_NO_CHANNEL,
    TW_NO_BUSY,
    TW_NO_LATCHED,
    TW_NO_SESSION,
    TW_NO_ABILITY,
    TW_NO_CEILING,
    TW_NO_ADC,
    TW_REASONS
};

struct tw_run {
    int32_t ceiling_counts;
    uint32_t max_ms;
    uint16_t lease_ms;
    uint8_t channel; /* 1 to 8 */
    uint8_t speed;   /* 1 to 255 */
    bool reverse;
    bool ceiling_above;
};

struct tw_request {
    uint8_t seq;
    uint8_t verb; /* enum tw_verb */
    union {
        struct {
            uint16_t nonce;
            uint8_t protocol;
        } hello;
        struct tw_run run;
        uint16_t keep_lease_ms;
        uint8_t stop_channel; /* 0 for all */
        struct {
            const char *text; /* within the body that was read */
            uint8_t line;
        } show;
    } as;
};

/* Reads the body of a frame, zero-terminated. False when it is no request at all; otherwise `seq` is set and
 * `reason` is TW_OK, TW_NO_VERB or TW_NO_ARGS. Only with TW_OK the rest of `request` has a meaning. */
bool tw_request_read(const char *body, struct tw_request *request, enum tw_reason *reason);

#endif
