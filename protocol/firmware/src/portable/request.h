/* What the host asks for, SPEC.md section 2, and why it may be refused, section 3. */
#ifndef TAREWELL_REQUEST_H
#define TAREWELL_REQUEST_H

#include <stdbool.h>
#include <stdint.h>

#include "wire.h"

/* In a list of wire.h: a row that is left out, and the names that the others make. */
#define TW_NOTHING(...)
#define TW_VERB_NAME(name, ...) TW_##name,
#define TW_FIELD_NAME(request, name, ...) TW_##request##_##name,

enum tw_verb { TW_REQUESTS(TW_VERB_NAME, TW_NOTHING) TW_VERBS };

/* The fields of all requests, each with a place of its own: TW_RUN_CHANNEL, TW_KEEP_LEASE_MS. */
enum tw_field_place { TW_REQUESTS(TW_NOTHING, TW_FIELD_NAME) TW_FIELDS };

struct tw_request {
    int32_t field[TW_FIELDS]; /* those of its verb are set */
    const char *text;         /* of `show`: within the body that was read */
    uint8_t seq;
    uint8_t verb; /* enum tw_verb */
};

/* Reads the body of a frame, zero-terminated. False when it is no request at all; otherwise `seq` is set and
 * `reason` is TW_OK, TW_NO_VERB or TW_NO_ARGS. Only with TW_OK the rest of `request` has a meaning. */
bool tw_request_read(const char *body, struct tw_request *request, enum tw_reason *reason);

/* Whether a request of this verb only asks, or opens a session: it may be carried out again. */
bool tw_request_asks(uint8_t verb);

/* The verb that a field belongs to. */
uint8_t tw_request_verb_of(uint8_t place);

#endif
