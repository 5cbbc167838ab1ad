#include "words.h"

static const TW_FLASH char RESETS[][9] = {"power", "brownout", "watchdog", "external", "unknown"};
static const TW_FLASH char STOPS[][8] = {"-", "host", "lease", "ceiling", "time", "estop", "adc", "session"};
static const TW_FLASH char PRESSES[][5] = {"down", "up", "long"};
static const TW_FLASH char REASONS[TW_REASONS][8] = {"ok",      "verb",    "args",    "range",   "channel", "busy",
                                                     "latched", "session", "ability", "ceiling", "adc"};

const TW_FLASH char *tw_reset_word(enum tw_reset_cause cause)
{
    return RESETS[cause];
}

const TW_FLASH char *tw_stop_word(enum tw_stop_cause cause)
{
    return STOPS[cause];
}

const TW_FLASH char *tw_press_word(enum tw_press press)
{
    return PRESSES[press];
}

const TW_FLASH char *tw_reason_word(enum tw_reason reason)
{
    return REASONS[reason];
}
