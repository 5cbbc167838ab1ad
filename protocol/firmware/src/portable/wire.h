/* What host and board say, as tables; `make wire` writes this file from tarewell_protocol/messages.py.
 *
 * TW_REQUESTS and TW_SAYINGS are given a macro for each kind of row: see request.h and messages.c.
 */
#ifndef TAREWELL_WIRE_H
#define TAREWELL_WIRE_H

#define TW_PROTOCOL 2U

/* Reasons in the order of SPEC.md: where more than one holds, the lower one is told. TW_OK is no refusal. */
enum tw_reason {
    TW_OK, TW_NO_VERB, TW_NO_ARGS, TW_NO_RANGE, TW_NO_CHANNEL, TW_NO_BUSY, TW_NO_LATCHED, TW_NO_SESSION,
    TW_NO_ABILITY, TW_NO_FAULT, TW_NO_SUPPLY, TW_NO_INTERLOCK, TW_NO_LIMIT, TW_NO_CEILING, TW_NO_ADC
};

enum tw_reset_cause {
    TW_RESET_POWER, TW_RESET_BROWNOUT, TW_RESET_WATCHDOG, TW_RESET_EXTERNAL, TW_RESET_RESET, TW_RESET_UNKNOWN
};

enum tw_stop_cause {
    TW_STOPPED_NEVER, TW_STOPPED_HOST, TW_STOPPED_LEASE, TW_STOPPED_LIMIT, TW_STOPPED_CEILING,
    TW_STOPPED_TIME, TW_STOPPED_ESTOP, TW_STOPPED_SUPPLY, TW_STOPPED_INTERLOCK, TW_STOPPED_ADC,
    TW_STOPPED_SESSION
};

enum tw_press {
    TW_PRESS_DOWN, TW_PRESS_UP, TW_PRESS_LONG
};

enum tw_verdict {
    TW_VERDICT_OK, TW_VERDICT_BAD, TW_VERDICT_UNTESTED
};

/* The words of these, one list after another, and where each starts. */
#define TW_WORDS { \
    "ok", "verb", "args", "range", "channel", "busy", "latched", "session", "ability", "fault", "supply", \
    "interlock", "limit", "ceiling", "adc", "power", "brownout", "watchdog", "external", "reset", "unknown", \
    "-", "host", "lease", "limit", "ceiling", "time", "estop", "supply", "interlock", "adc", "session", \
    "down", "up", "long", "ok", "bad", "untested" \
}
enum tw_words {
    TW_REASON_WORDS = 0, TW_RESET_CAUSE_WORDS = 15, TW_STOP_CAUSE_WORDS = 21, TW_PRESS_WORDS = 32,
    TW_VERDICT_WORDS = 35
};

/* From the host: REQUEST(name, verb, whether it only asks), FIELD(request, name, kind, minimum, maximum). */
#define TW_REQUESTS(REQUEST, FIELD) \
    REQUEST(HELLO, "hello", true) \
    FIELD(HELLO, PROTOCOL, NUMBER, 0, 255) \
    FIELD(HELLO, NONCE, HEX, 0, 65535) \
    REQUEST(RUN, "run", false) \
    FIELD(RUN, NUMBER, HEX, 0, 255) \
    FIELD(RUN, CHANNEL, NUMBER, 1, 8) \
    FIELD(RUN, DIRECTION, LETTER, 'f', 'r') \
    FIELD(RUN, SPEED, NUMBER, 1, 255) \
    FIELD(RUN, LEASE_MS, NUMBER, 1, 65535) \
    FIELD(RUN, CEILING_ABOVE, LETTER_GLUED, 'b', 'a') \
    FIELD(RUN, CEILING_COUNTS, NUMBER, -8388608, 8388607) \
    FIELD(RUN, MAX_MS, NUMBER, 1, 999999) \
    REQUEST(KEEP, "keep", false) \
    FIELD(KEEP, RUN, HEX, 0, 255) \
    FIELD(KEEP, LEASE_MS, NUMBER, 1, 65535) \
    REQUEST(STOP, "stop", false) \
    FIELD(STOP, CHANNEL, NUMBER_OR_ALL, 1, 8) \
    REQUEST(ESTOP, "estop", false) \
    REQUEST(CLEAR, "clear", false) \
    REQUEST(SHOW, "show", false) \
    FIELD(SHOW, LINE, NUMBER, 0, 3) \
    FIELD(SHOW, TEXT, TEXT, 0, 20) \
    REQUEST(STATE, "state", true) \
    REQUEST(STATS, "stats", true) \
    REQUEST(LIMITS, "limits", true) \
    REQUEST(CHECK, "check", true)

/* To the host: SAYING(name, first character, word), FIELD(saying, name, kind, start of its words). */
#define TW_SAYINGS(SAYING, FIELD) \
    SAYING(OK, '<', "ok") \
    SAYING(NO, '<', "no") \
    FIELD(NO, REASON, WORD, TW_REASON_WORDS) \
    SAYING(STATE, '<', "state") \
    FIELD(STATE, RUNNING, HEX, 0) \
    FIELD(STATE, LATCHED, NUMBER, 0) \
    FIELD(STATE, LAST_RUN, HEX, 0) \
    FIELD(STATE, LAST_CHANNEL, NUMBER, 0) \
    FIELD(STATE, LAST_CAUSE, WORD, TW_STOP_CAUSE_WORDS) \
    FIELD(STATE, NEXT_EVENT, HEX, 0) \
    SAYING(STATS, '<', "stats") \
    FIELD(STATS, FRAMES, NUMBER, 0) \
    FIELD(STATS, BAD_CRC, NUMBER, 0) \
    FIELD(STATS, OVERLONG, NUMBER, 0) \
    FIELD(STATS, OVERRUNS, NUMBER, 0) \
    FIELD(STATS, CONVERSIONS_LOST, NUMBER, 0) \
    FIELD(STATS, CONVERSIONS_LATE, NUMBER, 0) \
    FIELD(STATS, SATURATED, NUMBER, 0) \
    SAYING(LIMITS, '<', "limits") \
    FIELD(LIMITS, LEASE_MS, NUMBER, 0) \
    FIELD(LIMITS, RUN_MS, NUMBER, 0) \
    FIELD(LIMITS, COUNTS_MIN, SIGNED, 0) \
    FIELD(LIMITS, COUNTS_MAX, SIGNED, 0) \
    SAYING(CHECK, '<', "check") \
    FIELD(CHECK, FLASH, WORD, TW_VERDICT_WORDS) \
    FIELD(CHECK, FLASH_CRC, HEX4, 0) \
    FIELD(CHECK, RAM, WORD, TW_VERDICT_WORDS) \
    FIELD(CHECK, BUILD, HEX4, 0) \
    SAYING(STOPPED, '!', "stopped") \
    FIELD(STOPPED, RUN, HEX, 0) \
    FIELD(STOPPED, CHANNEL, NUMBER, 0) \
    FIELD(STOPPED, CAUSE, WORD, TW_STOP_CAUSE_WORDS) \
    FIELD(STOPPED, BOARD_MS, NUMBER, 0) \
    FIELD(STOPPED, RAN_MS, NUMBER, 0) \
    SAYING(BUTTON, '!', "button") \
    FIELD(BUTTON, PRESS, WORD, TW_PRESS_WORDS) \
    FIELD(BUTTON, BOARD_MS, NUMBER, 0) \
    SAYING(KNOB, '!', "knob") \
    FIELD(KNOB, STEPS, SIGNED, 0) \
    FIELD(KNOB, BOARD_MS, NUMBER, 0) \
    SAYING(BOOT, '!', "boot") \
    FIELD(BOOT, CAUSE, WORD, TW_RESET_CAUSE_WORDS) \
    FIELD(BOOT, LATCHED, NUMBER, 0)

#endif
