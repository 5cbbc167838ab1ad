#include "drive.h"

#include <avr/io.h>
#include <util/atomic.h>

#include "../../config.h"
#include "pin.h"

/* What the pins show. */
static struct {
    uint8_t channel;
    bool reverse;
    uint8_t speed;
} shown;

static volatile bool cut;
static volatile uint8_t ramp; /* share of full drive during the soft start */

#if TW_SOFT_START_MS > 0
#define SOFT_START_STEP ((255U + TW_SOFT_START_MS - 1U) / TW_SOFT_START_MS) /* a millisecond */
#else
#define SOFT_START_STEP 255U
#endif

/* Fast PWM: 16 MHz, divided by the clock select, divided by 256. */
#if TW_PWM_HZ == 61
#define CLOCK_SELECT (_BV(CS22) | _BV(CS21) | _BV(CS20)) /* 1024 */
#elif TW_PWM_HZ == 244
#define CLOCK_SELECT (_BV(CS22) | _BV(CS21)) /* 256 */
#elif TW_PWM_HZ == 488
#define CLOCK_SELECT (_BV(CS22) | _BV(CS20)) /* 128 */
#elif TW_PWM_HZ == 976
#define CLOCK_SELECT _BV(CS22) /* 64 */
#elif TW_PWM_HZ == 1953
#define CLOCK_SELECT (_BV(CS21) | _BV(CS20)) /* 32 */
#else
#define CLOCK_SELECT _BV(CS21) /* 8 */
#endif

static void speed_on(uint8_t speed)
{
    OCR2B = speed; /* at 255 the line is high without a gap */
    TCCR2A = _BV(COM2B1) | _BV(WGM21) | _BV(WGM20);
}

/* Off is the pin's own low and not a duty of 0, which would still give one narrow pulse a period. */
static void speed_off(void)
{
    TCCR2A = _BV(WGM21) | _BV(WGM20);
    SPEED_low();
}

static void shift_clock(void)
{
    SHIFT_CLOCK_high();
    SHIFT_CLOCK_low();
}

/* Last output first. Both clocks are tied, so the outputs are one clock behind: a ninth brings them up to date. */
static void shift_out(uint8_t bits)
{
    for (uint8_t mask = 0x80; mask != 0U; mask >>= 1) {
        if (bits & mask) {
            SHIFT_DATA_high();
        } else {
            SHIFT_DATA_low();
        }
        shift_clock();
    }
    shift_clock();
    SHIFT_DATA_low();
}

static void directions_off(void)
{
    FORWARD_1_low();
    REVERSE_1_low();
    FORWARD_2_low();
    REVERSE_2_low();
    FORWARD_3_low();
    REVERSE_3_low();
    FORWARD_4_low();
    REVERSE_4_low();
    if (TW_CHANNELS > 4) {
        shift_out(0);
    }
}

/* Only while the speed line is down, and after directions_off. */
static void direction_on(uint8_t channel, bool reverse)
{
    switch (channel) {
    case 1:
        reverse ? REVERSE_1_high() : FORWARD_1_high();
        break;
    case 2:
        reverse ? REVERSE_2_high() : FORWARD_2_high();
        break;
    case 3:
        reverse ? REVERSE_3_high() : FORWARD_3_high();
        break;
    case 4:
        reverse ? REVERSE_4_high() : FORWARD_4_high();
        break;
    default: /* 5 to 8: outputs 0 and 1, 2 and 3, ... of the shift register */
        shift_out((uint8_t)(1U << ((channel - 5U) * 2U + (reverse ? 1U : 0U))));
        break;
    }
}

void drive_setup(void)
{
    speed_off();
    OCR2B = 0;
    TIMSK2 = 0;
    TCCR2B = CLOCK_SELECT;
    directions_off();
}

static void start(const struct tw_run *run)
{
    directions_off();
    direction_on(run->channel, run->reverse);
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        cut = false;
        ramp = SOFT_START_STEP;
        speed_on(ramp < run->speed ? ramp : run->speed);
        TCNT2 = 255; /* the first pulse begins with the next count: a period is long beside a jog */
    }
}

static void change_speed(uint8_t speed)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        if (!cut) {
            speed_on(ramp < speed ? ramp : speed);
        }
    }
}

void drive_apply(const struct tw_run *run)
{
    bool same = run->channel == shown.channel && run->reverse == shown.reverse;
    if (run->channel == 0U) {
        if (shown.channel != 0U) {
            shown.channel = 0;
            speed_off();
            directions_off();
        }
    } else if (!same) {
        speed_off();
        shown.channel = run->channel;
        shown.reverse = run->reverse;
        shown.speed = run->speed;
        start(run);
    } else if (run->speed != shown.speed) {
        shown.speed = run->speed;
        change_speed(run->speed);
    }
}

void drive_cut(void)
{
    speed_off();
    cut = true;
}

bool drive_was_cut(void)
{
    return cut && shown.channel != 0U;
}

void drive_soft_start(void)
{
    if (TW_SOFT_START_MS == 0 || ramp == 255U || shown.channel == 0U || cut) {
        return;
    }
    ramp = 255U - ramp > SOFT_START_STEP ? (uint8_t)(ramp + SOFT_START_STEP) : 255U;
    if (OCR2B < shown.speed) {
        OCR2B = ramp < shown.speed ? ramp : shown.speed;
    }
}
