/* The millisecond: Timer1. Its interrupt also reads the knob and is the pumps' last line of defence but one. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../board_hal.h"
#include "../portable/knob.h"
#include "internal.h"
#include "pin.h"

#define HUNG_MS 10U /* a main loop that is silent for so long will not come back before the watchdog does */

static volatile uint32_t now;
static volatile uint16_t allowed_ms;
static volatile uint8_t silent_ms = HUNG_MS; /* not counted before the main loop */
static struct tw_knob knob;

ISR(TIMER1_COMPA_vect)
{
    now++;
    /* The main loop ends a run by itself and says why. Should it hang, this ends it. */
    if (allowed_ms > 0U && --allowed_ms == 0U) {
        drive_cut();
    }
    if (silent_ms < HUNG_MS && ++silent_ms == HUNG_MS) {
        reset_mark_hung();
    }
    drive_soft_start();
    tw_knob_sample(&knob, KNOB_A_is_high(), KNOB_B_is_high());
}

void tick_setup(void)
{
    tw_knob_init(&knob);
    TCCR1A = 0;
    TCCR1B = _BV(WGM12) | _BV(CS11) | _BV(CS10); /* clear on compare, clock / 64 */
    TCNT1 = 0;
    OCR1A = F_CPU / 64U / 1000U - 1U;
    TIMSK1 = _BV(OCIE1A);
}

void tick_fed(void)
{
    silent_ms = 0;
}

uint8_t tick_low_byte(void)
{
    return *(const volatile uint8_t *)&now; /* little endian */
}

uint32_t hal_now_ms(void)
{
    uint32_t ms;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { ms = now; }
    return ms;
}

int8_t hal_knob_steps(uint32_t now_ms)
{
    int8_t steps;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { steps = tw_knob_take(&knob, now_ms); }
    return steps;
}

void hal_allow_ms(uint16_t left_ms)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { allowed_ms = left_ms; }
}
