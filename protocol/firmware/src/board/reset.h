/* What happens before main: safe outputs, the cause of the reset, the watchdog off, the stack painted. */
#ifndef TAREWELL_RESET_H
#define TAREWELL_RESET_H

#include "../portable/wire.h"

/* What unused RAM is filled with at start: what is left of it tells how deep the stack has been. */
#define STACK_PAINT 0xC5

enum tw_reset_cause reset_cause(void);

#endif
