/* Sends the display's bytes over I2C at 100 kHz, one step a call. A display that is missing, or that holds the bus,
 * costs a retry a second and nothing else. */
#ifndef TAREWELL_I2C_H
#define TAREWELL_I2C_H

#include <stdint.h>

#include "../portable/display.h"

void i2c_setup(void);

/* One step, if the bus has finished the last one. Never waits. */
void i2c_step(struct tw_display *display, uint32_t now_ms);

#endif
