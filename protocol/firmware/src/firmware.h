/* The firmware as two calls, for `main` and for a sketch alike. */
#ifndef TAREWELL_FIRMWARE_H
#define TAREWELL_FIRMWARE_H

#ifdef __cplusplus
extern "C" {
#endif

void firmware_setup(void);

/* One pass of the main loop: a few hundred microseconds at most, then sleep until there is something to do. */
void firmware_loop(void);

#ifdef __cplusplus
}
#endif

#endif
