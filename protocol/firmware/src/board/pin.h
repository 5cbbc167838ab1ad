/* The pin table of pins.h as functions: SPEED_low(), ADC_DATA_is_high() and so on; each is one or two instructions.
 * Always inline, since reset.c uses them where there is no stack yet. */
#ifndef TAREWELL_PIN_H
#define TAREWELL_PIN_H

#include <avr/io.h>
#include <stdbool.h>

#include "../../pins.h"

#define PIN_INLINE __attribute__((always_inline)) static inline

#define PIN_FUNCTIONS(name, port, bit, label, direction, purpose)                                            \
    PIN_INLINE void name##_high(void) { PORT##port |= _BV(bit); }                                         \
    PIN_INLINE void name##_low(void) { PORT##port &= (uint8_t)~_BV(bit); }                                \
    PIN_INLINE void name##_set_##direction(void) { PIN_SET_##direction(port, bit); }                      \
    PIN_INLINE void name##_drive(void) { DDR##port |= _BV(bit); }                                            \
    PIN_INLINE void name##_release(void) { DDR##port &= (uint8_t)~_BV(bit); }                                \
    PIN_INLINE bool name##_is_high(void) { return (PIN##port & _BV(bit)) != 0; }

/* Level first, then direction, so that an output never shows the wrong one. */
#define PIN_SET_OUT(port, bit)                                                                               \
    PORT##port &= (uint8_t)~_BV(bit);                                                                        \
    DDR##port |= _BV(bit)
#define PIN_SET_IN_UP(port, bit)                                                                             \
    DDR##port &= (uint8_t)~_BV(bit);                                                                         \
    PORT##port |= _BV(bit)
/* The chip's pull-ups keep the bus idle when no display is there. */
#define PIN_SET_I2C(port, bit) PIN_SET_IN_UP(port, bit)

PINS(PIN_FUNCTIONS)

/* All pins as the table says, every output low. The serial pins follow their own unit once it is on. */
static inline void pins_setup(void)
{
#define PIN_SETUP(name, port, bit, label, direction, purpose) name##_set_##direction();
    PINS(PIN_SETUP)
#undef PIN_SETUP
}

#endif
