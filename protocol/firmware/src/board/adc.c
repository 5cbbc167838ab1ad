#include "adc.h"

#include <util/atomic.h>
#include <util/delay.h>

#include "../portable/loadcell.h"
#include "pin.h"

/* One clock pulse. No interrupt may stretch the high half; the low half may last. */
static bool pulse(void)
{
    bool bit;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        ADC_CLOCK_high();
        _delay_us(0.5);
        bit = ADC_DATA_is_high();
        ADC_CLOCK_low();
    }
    return bit;
}

bool adc_ready(void)
{
    return !ADC_DATA_is_high();
}

bool adc_read(int32_t *counts)
{
    uint32_t code = 0;
    for (uint8_t i = 0; i < 24U; i++) {
        code = (code << 1) | (pulse() ? 1U : 0U);
    }
    *counts = tw_loadcell_counts(code);
    pulse(); /* the 25th: channel A, gain 128 again, and the data line goes up */
    _delay_us(0.5);
    return ADC_DATA_is_high();
}
