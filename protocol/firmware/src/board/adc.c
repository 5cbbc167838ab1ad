/* The load-cell ADC's two wires. Times after its data sheet: clock high 0.2 to 50 us (over 60 us powers it down), low
 * at least 0.2 us, data valid 0.1 us after the rise; 25 clocks read channel A at gain 128. */
#include <util/atomic.h>
#include <util/delay.h>

#include "../board_hal.h"
#include "../portable/loadcell.h"
#include "internal.h"
#include "pin.h"

#define SETTLING 4U /* conversions, after clocks that the ADC may have counted otherwise (data sheet) */

static uint8_t unsettled;

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

/* A line that rises once during the read, as one does that is open and picks up hum, gives zeros and then ones. The
 * ADC gives such a code once in half a million readings; only at its upper end it stays there. */
static bool only_rises(uint32_t code)
{
    return (code & (code + 1U)) == 0U && code != (uint32_t)TW_COUNTS_MAX;
}

bool hal_convert(int32_t *counts)
{
    uint32_t code = 0;
    if (!adc_ready()) {
        return false;
    }
    for (uint8_t i = 0; i < 24U; i++) {
        code = (code << 1) | (pulse() ? 1U : 0U);
    }
    *counts = tw_loadcell_counts(code);
    pulse(); /* the 25th: channel A, gain 128 again, and the data line goes up */
    _delay_us(0.5);
    if (!ADC_DATA_is_high()) { /* a wire is off or shorted, and what was read is no reading */
        unsettled = SETTLING;
        return false;
    }
    if (unsettled > 0U) {
        unsettled--;
        return false;
    }
    return !only_rises(code);
}
