/* The settings of this build, for the `check` answer. */
#ifndef TAREWELL_BUILD_H
#define TAREWELL_BUILD_H

#include <stdint.h>

/* CRC over all settings of config.h: the same for two boards of the same set-up, whoever built them. */
uint16_t tw_build_settings(void);

#endif
