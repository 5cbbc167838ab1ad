/* The pumps' pins: one speed line for all bridges, two direction lines for each channel. */
#ifndef TAREWELL_DRIVE_H
#define TAREWELL_DRIVE_H

#include <stdbool.h>
#include <stdint.h>

#include "../portable/outputs.h"

void drive_setup(void);

/* Makes the pins agree with what should run; channel 0 is nothing. Cheap when nothing has changed. */
void drive_apply(const struct tw_run *run);

/* Takes the speed line down at once, from anywhere. It stays down until drive_apply gets another run. */
void drive_cut(void);

/* Whether drive_cut has ended what drive_apply was told last. */
bool drive_was_cut(void);

/* One millisecond of the soft start; from the tick. */
void drive_soft_start(void);

#endif
