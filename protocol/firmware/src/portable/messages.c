#include "messages.h"

enum kind { NUMBER, SIGNED, HEX, HEX4, WORD };

struct field {
    uint8_t saying;
    uint8_t kind;
    uint8_t words; /* of a WORD: where those of its enumeration start */
};

#define START(name, start, word) start,
#define SPELT(name, start, word) word,
#define FIELD(saying, name, kind, words) {TW_SAY_##saying, kind, words},

static const TW_FLASH char WORDS[][10] = TW_WORDS;
static const TW_FLASH char STARTS[] = {TW_SAYINGS(START, TW_NOTHING)};
static const TW_FLASH char SAYINGS[][8] = {TW_SAYINGS(SPELT, TW_NOTHING)};
static const TW_FLASH struct field FIELDS[] = {TW_SAYINGS(TW_NOTHING, FIELD)};
static const TW_FLASH char HELLO[] = "hello";

static void flag(struct tw_line *line, bool set, char letter)
{
    if (set) {
        tw_line_char(line, letter);
    }
}

void tw_say_sample(struct tw_line *line, const struct tw_sample *sample)
{
    tw_line_start(line, '#');
    tw_line_unsigned(line, sample->board_ms);
    tw_line_next_unsigned(line, sample->number);
    tw_line_next_signed(line, sample->counts);
    tw_line_next_hex(line, sample->mask, 2);
    tw_line_char(line, ' ');
    flag(line, sample->saturated, 's');
    flag(line, sample->latched, 'e');
    flag(line, sample->lost, 'l');
    flag(line, sample->interlock_open, 'i');
    flag(line, sample->supply_off, 'p');
    flag(line, line->text[line->length - 1U] == ' ', '-');
    tw_line_end(line);
}

static void start(struct tw_line *line, char kind, uint8_t number, const TW_FLASH char *word)
{
    tw_line_start(line, kind);
    tw_line_hex(line, number, 2);
    tw_line_next_word(line, word);
}

void tw_say_identity(struct tw_line *line, uint8_t seq, const struct tw_identity *identity)
{
    start(line, '<', seq, HELLO);
    tw_line_next_unsigned(line, identity->protocol);
    tw_line_next_word(line, identity->firmware);
    tw_line_next_word(line, identity->board_id);
    tw_line_next_unsigned(line, identity->channels);
    tw_line_next_unsigned(line, identity->sample_rate_tenths / 10U);
    tw_line_char(line, '.');
    tw_line_unsigned(line, identity->sample_rate_tenths % 10U);
    tw_line_next_unsigned(line, identity->filter_delay_ms);
    tw_line_next_unsigned(line, identity->full_scale_counts);
    tw_line_char(line, ' ');
    flag(line, identity->reverse, 'r');
    flag(line, identity->variable_speed, 'v');
    flag(line, identity->knob, 'k');
    flag(line, identity->interlock, 'i');
    flag(line, identity->supply_sense, 'p');
    flag(line, line->text[line->length - 1U] == ' ', '-');
    if (identity->rows > 0U) {
        tw_line_next_unsigned(line, identity->columns);
        tw_line_char(line, 'x');
        tw_line_unsigned(line, identity->rows);
    } else {
        tw_line_char(line, ' ');
        tw_line_char(line, '-');
    }
    tw_line_next_word(line, WORDS[TW_RESET_CAUSE_WORDS + identity->cause]);
    tw_line_end(line);
}

static void say_field(struct tw_line *line, const TW_FLASH struct field *field, uint32_t value)
{
    switch (field->kind) {
    case SIGNED:
        tw_line_next_signed(line, (int32_t)value);
        break;
    case HEX:
        tw_line_next_hex(line, (uint16_t)value, 2);
        break;
    case HEX4:
        tw_line_next_hex(line, (uint16_t)value, 4);
        break;
    case WORD:
        tw_line_next_word(line, WORDS[field->words + value]);
        break;
    default:
        tw_line_next_unsigned(line, value);
        break;
    }
}

void tw_say(struct tw_line *line, uint8_t number, enum tw_saying saying, const uint32_t *values)
{
    start(line, STARTS[saying], number, SAYINGS[saying]);
    for (uint8_t i = 0; i < sizeof FIELDS / sizeof FIELDS[0]; i++) {
        if (FIELDS[i].saying == saying) {
            say_field(line, &FIELDS[i], *values++);
        }
    }
    tw_line_end(line);
}

void tw_say_plain(struct tw_line *line, uint8_t seq, enum tw_reason reason)
{
    tw_say(line, seq, reason == TW_OK ? TW_SAY_OK : TW_SAY_NO, (const uint32_t[]){reason});
}
