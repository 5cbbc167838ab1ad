#include "request.h"

#include "flash.h"
#include "frame.h"

#define COUNTS_MIN (-8388608L)
#define COUNTS_MAX 8388607L

static const TW_FLASH char VERBS[TW_VERBS][8] = {"hello", "run",  "keep",  "stop",  "estop",
                                                 "clear", "show", "state", "stats", "limits"};

/* Each reader takes what it understands from `*at`, moves it on and says whether all was well. */

static bool take(const char **at, char expected)
{
    if (**at != expected) {
        return false;
    }
    (*at)++;
    return true;
}

static bool take_hex(const char **at, uint8_t digits, uint16_t *value)
{
    *value = 0;
    while (digits-- > 0U) {
        uint8_t digit = tw_hex_value(**at);
        if (digit > 0x0F) {
            return false;
        }
        *value = (uint16_t)((*value << 4) | digit);
        (*at)++;
    }
    return true;
}

/* Decimal without leading zeros. `most` is below 10 million, so that one digit too many cannot wrap 32 bits. */
static bool take_number(const char **at, uint32_t least, uint32_t most, uint32_t *value)
{
    const char *first = *at;
    *value = 0;
    while (**at >= '0' && **at <= '9') {
        *value = *value * 10U + (uint32_t)(**at - '0');
        if (*value > most) {
            return false;
        }
        (*at)++;
    }
    bool leading_zero = *first == '0' && *at - first > 1;
    return *at != first && !leading_zero && *value >= least;
}

static bool take_u16(const char **at, uint16_t least, uint16_t most, uint16_t *value)
{
    uint32_t wide;
    bool good = take_number(at, least, most, &wide);
    *value = (uint16_t)wide;
    return good;
}

static bool take_u8(const char **at, uint8_t least, uint8_t most, uint8_t *value)
{
    uint32_t wide;
    bool good = take_number(at, least, most, &wide);
    *value = (uint8_t)wide;
    return good;
}

static bool take_counts(const char **at, int32_t *counts)
{
    uint32_t size;
    bool negative = take(at, '-');
    if (!take_number(at, negative ? 1U : 0U, negative ? (uint32_t)-COUNTS_MIN : (uint32_t)COUNTS_MAX, &size)) {
        return false;
    }
    *counts = negative ? -(int32_t)size : (int32_t)size;
    return true;
}

/* One of two letters; true in `second` when it was the second. */
static bool take_either(const char **at, char first_letter, char second_letter, bool *second)
{
    *second = **at == second_letter;
    return *second ? take(at, second_letter) : take(at, first_letter);
}

static bool read_hello(const char *at, struct tw_request *request)
{
    return take(&at, ' ') && take_u8(&at, 0, 255, &request->as.hello.protocol) && take(&at, ' ') &&
           take_hex(&at, 4, &request->as.hello.nonce) && *at == '\0';
}

static bool read_run(const char *at, struct tw_request *request)
{
    struct tw_run *run = &request->as.run;
    bool below;
    if (!(take(&at, ' ') && take_u8(&at, 1, 8, &run->channel) && take(&at, ' ') &&
          take_either(&at, 'f', 'r', &run->reverse) && take(&at, ' ') && take_u8(&at, 1, 255, &run->speed) &&
          take(&at, ' ') && take_u16(&at, 1, 65535U, &run->lease_ms) && take(&at, ' ') &&
          take_either(&at, 'a', 'b', &below) && take_counts(&at, &run->ceiling_counts) && take(&at, ' ') &&
          take_number(&at, 1, 999999UL, &run->max_ms) && *at == '\0')) {
        return false;
    }
    run->ceiling_above = !below;
    return true;
}

static bool read_keep(const char *at, struct tw_request *request)
{
    return take(&at, ' ') && take_u16(&at, 1, 65535U, &request->as.keep_lease_ms) && *at == '\0';
}

static bool read_stop(const char *at, struct tw_request *request)
{
    if (!take(&at, ' ')) {
        return false;
    }
    if (*at == 'a') {
        request->as.stop_channel = 0;
        return take(&at, 'a') && take(&at, 'l') && take(&at, 'l') && *at == '\0';
    }
    return take_u8(&at, 1, 8, &request->as.stop_channel) && *at == '\0';
}

static bool read_show(const char *at, struct tw_request *request)
{
    if (!(take(&at, ' ') && take_u8(&at, 0, 3, &request->as.show.line) && take(&at, ' '))) {
        return false;
    }
    request->as.show.text = at;
    uint8_t length = 0;
    while (at[length] != '\0') {
        length++;
    }
    return length <= TW_SHOW_TEXT_MAX;
}

static bool read_fields(const char *at, struct tw_request *request)
{
    switch (request->verb) {
    case TW_HELLO:
        return read_hello(at, request);
    case TW_RUN:
        return read_run(at, request);
    case TW_KEEP:
        return read_keep(at, request);
    case TW_STOP:
        return read_stop(at, request);
    case TW_SHOW:
        return read_show(at, request);
    default:
        return *at == '\0';
    }
}

/* Moves `*at` over the word and gives its verb, or TW_VERBS for a word that is none. */
static uint8_t take_verb(const char **at)
{
    for (uint8_t verb = 0; verb < TW_VERBS; verb++) {
        uint8_t i = 0;
        while (VERBS[verb][i] != '\0' && VERBS[verb][i] == (*at)[i]) {
            i++;
        }
        if (VERBS[verb][i] == '\0' && ((*at)[i] == ' ' || (*at)[i] == '\0')) {
            *at += i;
            return verb;
        }
    }
    return TW_VERBS;
}

bool tw_request_read(const char *body, struct tw_request *request, enum tw_reason *reason)
{
    uint16_t seq;
    if (!(take(&body, '>') && take_hex(&body, 2, &seq) && take(&body, ' '))) {
        return false;
    }
    request->seq = (uint8_t)seq;
    request->verb = take_verb(&body);
    if (request->verb == TW_VERBS) {
        *reason = TW_NO_VERB;
    } else {
        *reason = read_fields(body, request) ? TW_OK : TW_NO_ARGS;
    }
    return true;
}
