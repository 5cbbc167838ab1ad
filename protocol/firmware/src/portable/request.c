#include "request.h"

#include "flash.h"
#include "frame.h"

enum kind {
    NUMBER,        /* decimal without leading zeros, minimum to maximum, both below 10 million */
    NUMBER_OR_ALL, /* the same, or `all`, which is 0 */
    HEX,           /* two digits, or four where the maximum has more */
    LETTER,        /* the character `minimum`, which is 0, or the character `maximum`, which is 1 */
    LETTER_GLUED,  /* the same, and no space behind it */
    TEXT,          /* all that is left, up to maximum characters; the value is their number */
};

struct field {
    uint8_t verb;
    uint8_t kind;
    int32_t minimum;
    int32_t maximum;
};

#define VERB(name, verb, asks) verb,
#define ASKS(name, verb, asks) asks,
#define FIELD(request, name, kind, minimum, maximum) {TW_##request, kind, minimum, maximum},

static const TW_FLASH char VERBS[TW_VERBS][8] = {TW_REQUESTS(VERB, TW_NOTHING)};
static const TW_FLASH bool ONLY_ASKS[TW_VERBS] = {TW_REQUESTS(ASKS, TW_NOTHING)};
static const TW_FLASH struct field FIELDS[TW_FIELDS] = {TW_REQUESTS(TW_NOTHING, FIELD)};

/* Each reader takes what it understands from `*at`, moves it on and says whether all was well. */

static bool take(const char **at, char expected)
{
    if (**at != expected) {
        return false;
    }
    (*at)++;
    return true;
}

static bool take_hex(const char **at, uint8_t digits, int32_t *value)
{
    *value = 0;
    while (digits-- > 0U) {
        uint8_t digit = tw_hex_value(**at);
        if (digit > 0x0F) {
            return false;
        }
        *value = *value * 16 + digit;
        (*at)++;
    }
    return true;
}

static bool take_number(const char **at, int32_t minimum, int32_t maximum, int32_t *value)
{
    bool negative = take(at, '-');
    const char *first = *at;
    int32_t size = 0;
    while (**at >= '0' && **at <= '9') {
        size = size * 10 + (**at - '0');
        if (size >= 10000000L) { /* before it can wrap */
            return false;
        }
        (*at)++;
    }
    bool leading_zero = *first == '0' && (negative || *at - first > 1);
    *value = negative ? -size : size;
    return *at != first && !leading_zero && *value >= minimum && *value <= maximum;
}

static bool take_letter(const char **at, char zero, char one, int32_t *value)
{
    *value = **at == one;
    return take(at, *value ? one : zero);
}

static bool take_text(const char **at, int32_t maximum, int32_t *length)
{
    for (*length = 0; **at != '\0'; (*length)++) {
        (*at)++;
    }
    return *length <= maximum;
}

static bool take_field(const char **at, const TW_FLASH struct field *field, int32_t *value)
{
    switch (field->kind) {
    case NUMBER_OR_ALL:
        if (take(at, 'a')) {
            *value = 0;
            return take(at, 'l') && take(at, 'l');
        }
        return take_number(at, field->minimum, field->maximum, value);
    case HEX:
        return take_hex(at, field->maximum > 0xFF ? 4 : 2, value);
    case LETTER:
    case LETTER_GLUED:
        return take_letter(at, (char)field->minimum, (char)field->maximum, value);
    case TEXT:
        return take_text(at, field->maximum, value);
    default:
        return take_number(at, field->minimum, field->maximum, value);
    }
}

static bool read_fields(const char *at, struct tw_request *request)
{
    bool glued = false;
    for (uint8_t place = 0; place < TW_FIELDS; place++) {
        const TW_FLASH struct field *field = &FIELDS[place];
        if (field->verb != request->verb) {
            continue;
        }
        if (!glued && !take(&at, ' ')) {
            return false;
        }
        request->text = at;
        if (!take_field(&at, field, &request->field[place])) {
            return false;
        }
        glued = field->kind == LETTER_GLUED;
    }
    return *at == '\0';
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
    int32_t seq;
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

bool tw_request_asks(uint8_t verb)
{
    return ONLY_ASKS[verb];
}

uint8_t tw_request_verb_of(uint8_t place)
{
    return FIELDS[place].verb;
}
