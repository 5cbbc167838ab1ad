/* The load-cell ADC's two wires. Times after its data sheet: clock high 0.2 to 50 us (over 60 us powers it down), low
 * at least 0.2 us, data valid 0.1 us after the rise; 25 clocks read channel A at gain 128. */
#ifndef TAREWELL_ADC_H
#define TAREWELL_ADC_H

#include <stdbool.h>
#include <stdint.h>

/* A conversion waits to be read. */
bool adc_ready(void);

/* Reads it; takes about 0.1 ms. False when the ADC did not let go of its data line afterwards: a wire is off or
 * shorted, and what was read is no reading. */
bool adc_read(int32_t *counts);

#endif
