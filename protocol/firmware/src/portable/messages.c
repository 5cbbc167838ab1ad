#include "messages.h"

/* Each word is a named constant, since only those can be kept in flash. */
#define WORD(name, text) static const TW_FLASH char name[] = text
WORD(NO, "no");
WORD(HELLO, "hello");
WORD(STATE, "state");
WORD(STATS, "stats");
WORD(LIMITS, "limits");
WORD(STOPPED, "stopped");
WORD(BUTTON, "button");
WORD(KNOB, "knob");
WORD(BOOT, "boot");

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
    tw_line_next_hex(line, sample->mask);
    tw_line_char(line, ' ');
    flag(line, sample->saturated, 's');
    flag(line, sample->latched, 'e');
    flag(line, sample->lost, 'l');
    flag(line, !(sample->saturated || sample->latched || sample->lost), '-');
    tw_line_end(line);
}

static void start(struct tw_line *line, char kind, uint8_t number, const TW_FLASH char *word)
{
    tw_line_start(line, kind);
    tw_line_hex(line, number, 2);
    tw_line_next_word(line, word);
}

void tw_say_plain(struct tw_line *line, uint8_t seq, enum tw_reason reason)
{
    if (reason == TW_OK) {
        start(line, '<', seq, tw_reason_word(TW_OK));
    } else {
        start(line, '<', seq, NO);
        tw_line_next_word(line, tw_reason_word(reason));
    }
    tw_line_end(line);
}

void tw_say_identity(struct tw_line *line, uint8_t seq, const struct tw_identity *identity)
{
    start(line, '<', seq, HELLO);
    tw_line_next_unsigned(line, identity->protocol);
    tw_line_next_word(line, identity->firmware);
    tw_line_next_word(line, identity->board_id);
    tw_line_next_unsigned(line, identity->channels);
    tw_line_next_unsigned(line, identity->sample_rate_hz);
    tw_line_next_unsigned(line, identity->full_scale_counts);
    tw_line_char(line, ' ');
    flag(line, identity->reverse, 'r');
    flag(line, identity->variable_speed, 'v');
    flag(line, identity->knob, 'k');
    flag(line, !(identity->reverse || identity->variable_speed || identity->knob), '-');
    if (identity->rows > 0U) {
        tw_line_next_unsigned(line, identity->columns);
        tw_line_char(line, 'x');
        tw_line_unsigned(line, identity->rows);
    } else {
        tw_line_char(line, ' ');
        tw_line_char(line, '-');
    }
    tw_line_next_word(line, tw_reset_word(identity->cause));
    tw_line_end(line);
}

void tw_say_state(struct tw_line *line, uint8_t seq, const struct tw_state *state)
{
    start(line, '<', seq, STATE);
    tw_line_next_hex(line, state->mask);
    tw_line_next_unsigned(line, state->latched ? 1U : 0U);
    tw_line_next_unsigned(line, state->last_channel);
    tw_line_next_word(line, tw_stop_word(state->last_cause));
    tw_line_next_hex(line, state->next_event);
    tw_line_end(line);
}

void tw_say_stats(struct tw_line *line, uint8_t seq, const struct tw_counters *counters)
{
    start(line, '<', seq, STATS);
    tw_line_next_unsigned(line, counters->frames);
    tw_line_next_unsigned(line, counters->bad_crc);
    tw_line_next_unsigned(line, counters->overlong);
    tw_line_next_unsigned(line, counters->overruns);
    tw_line_next_unsigned(line, counters->lost);
    tw_line_next_unsigned(line, counters->late);
    tw_line_next_unsigned(line, counters->saturated);
    tw_line_end(line);
}

void tw_say_limits(struct tw_line *line, uint8_t seq, const struct tw_limits *limits)
{
    start(line, '<', seq, LIMITS);
    tw_line_next_unsigned(line, limits->lease_ms);
    tw_line_next_unsigned(line, limits->run_ms);
    tw_line_next_signed(line, limits->lowest_counts);
    tw_line_next_signed(line, limits->highest_counts);
    tw_line_end(line);
}

void tw_say_stopped(struct tw_line *line, uint8_t number, uint8_t channel, enum tw_stop_cause cause,
                    uint32_t board_ms, uint32_t ran_ms)
{
    start(line, '!', number, STOPPED);
    tw_line_next_unsigned(line, channel);
    tw_line_next_word(line, tw_stop_word(cause));
    tw_line_next_unsigned(line, board_ms);
    tw_line_next_unsigned(line, ran_ms);
    tw_line_end(line);
}

void tw_say_button(struct tw_line *line, uint8_t number, enum tw_press press, uint32_t board_ms)
{
    start(line, '!', number, BUTTON);
    tw_line_next_word(line, tw_press_word(press));
    tw_line_next_unsigned(line, board_ms);
    tw_line_end(line);
}

void tw_say_knob(struct tw_line *line, uint8_t number, int8_t steps, uint32_t board_ms)
{
    start(line, '!', number, KNOB);
    tw_line_next_signed(line, steps);
    tw_line_next_unsigned(line, board_ms);
    tw_line_end(line);
}

void tw_say_boot(struct tw_line *line, uint8_t number, enum tw_reset_cause cause)
{
    start(line, '!', number, BOOT);
    tw_line_next_word(line, tw_reset_word(cause));
    tw_line_end(line);
}
