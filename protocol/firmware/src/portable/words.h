/* The words of the protocol, in flash. */
#ifndef TAREWELL_WORDS_H
#define TAREWELL_WORDS_H

#include "flash.h"
#include "request.h"

enum tw_reset_cause { TW_RESET_POWER, TW_RESET_BROWNOUT, TW_RESET_WATCHDOG, TW_RESET_EXTERNAL, TW_RESET_UNKNOWN };

/* TW_STOPPED_NEVER is written "-". */
enum tw_stop_cause {
    TW_STOPPED_NEVER,
    TW_STOPPED_HOST,
    TW_STOPPED_LEASE,
    TW_STOPPED_CEILING,
    TW_STOPPED_TIME,
    TW_STOPPED_ESTOP,
    TW_STOPPED_ADC,
    TW_STOPPED_SESSION
};

enum tw_press { TW_PRESS_DOWN, TW_PRESS_UP, TW_PRESS_LONG };

const TW_FLASH char *tw_reset_word(enum tw_reset_cause cause);
const TW_FLASH char *tw_stop_word(enum tw_stop_cause cause);
const TW_FLASH char *tw_press_word(enum tw_press press);
const TW_FLASH char *tw_reason_word(enum tw_reason reason); /* for a refusal; "ok" for TW_OK */

#endif
