/* What the files of this port know of each other; the main loop sees board_hal.h only. */
#ifndef TAREWELL_INTERNAL_H
#define TAREWELL_INTERNAL_H

#include <stdbool.h>
#include <stdint.h>

#include "../portable/board.h"

/* What unused RAM is filled with at start: what is left of it tells how deep the stack has been. */
#define STACK_PAINT 0xC5

/* reset.c: what happens before main. */
enum tw_reset_cause reset_cause(void);
enum tw_verdict reset_ram_verdict(void);

/* From the tick, once the main loop has been silent for too long: the reset that follows is the watchdog's. */
void reset_mark_hung(void);

/* image.c: CRC of the program as it stands in flash, and whether it is the one that was built. */
enum tw_verdict image_verdict(uint16_t *crc);

/* latch.c: the emergency stop as it was kept. */
bool latch_kept(void);

/* drive.c. drive_cut takes the speed line down at once, from anywhere; it stays down until hal_drive gets another
 * run. drive_soft_start is one millisecond of it, from the tick. */
void drive_setup(void);
void drive_cut(void);
void drive_soft_start(void);

/* tick.c. The low byte of the clock is enough to see that a millisecond has passed, and read in one instruction. */
void tick_setup(void);
void tick_fed(void);
uint8_t tick_low_byte(void);

/* The others. */
void uart_setup(struct tw_ring *out);
bool uart_has_byte(void);
bool adc_ready(void);
void i2c_setup(void);
void analog_setup(void);

#endif
