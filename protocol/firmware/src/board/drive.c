/* The pumps' pins: one speed line for all bridges, two direction lines for each channel. */
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "../../config.h"
#include "../board_hal.h"
#include "internal.h"
#include "pin.h"

/* What the pins show. */
static struct {
    uint8_t channel;
    bool reverse;
    uint8_t speed;
} shown;

static volatile bool cut;

/* The soft start: drive in 1/256 of a step, and what a millisecond adds; 0 once it is over. */
static volatile uint16_t ramp;
static volatile uint16_t ramp_step;

#define REFRESH_MS 8U /* a pump hardly begins to move in so short a time */

static uint32_t refreshed_ms;

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

/* The 8 bits that outputs 0 and 1, 2 and 3, ... of the shift register show. */
static uint8_t register_bits(void)
{
    return shown.channel > 4U ? (uint8_t)(1U << ((shown.channel - 5U) * 2U + (shown.reverse ? 1U : 0U))) : 0U;
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
    default:
        shift_out(register_bits());
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

static void start(uint8_t speed)
{
    directions_off();
    direction_on(shown.channel, shown.reverse);
#if TW_SOFT_START_MS > 0
    uint16_t step = (uint16_t)(((uint16_t)(speed << 8) + TW_SOFT_START_MS - 1U) / TW_SOFT_START_MS);
#else
    const uint16_t step = 0;
#endif
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        cut = false;
        ramp = 0;
        ramp_step = step;
        speed_on(step > 0U ? 0U : speed);
        TCNT2 = 255; /* the first pulse begins with the next count: a period is long beside a jog */
    }
}

/* In the middle of a soft start the ramp goes on to the new speed. */
static void change_speed(uint8_t speed)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        shown.speed = speed;
        if (!cut && (ramp_step == 0U || ramp >> 8 >= speed)) {
            ramp_step = 0;
            speed_on(speed);
        }
    }
}

/* A spurious edge on the clock moves the register's outputs on, so they are written again and again. For the 12 us
 * that it takes the pin lets go of the speed line, which its resistor holds low; the timer keeps its phase. */
static void refresh(void)
{
    SPEED_release();
    shift_out(register_bits());
    SPEED_drive();
}

void hal_drive(const struct tw_run *run, uint32_t now_ms)
{
    bool same = run->channel == shown.channel && run->reverse == shown.reverse;
    if (run->channel == 0U) {
        if (shown.channel != 0U) {
            speed_off();
            shown.channel = 0;
            directions_off();
        }
    } else if (!same) {
        speed_off();
        shown.channel = run->channel;
        shown.reverse = run->reverse;
        shown.speed = run->speed;
        start(run->speed);
    } else if (run->speed != shown.speed) {
        change_speed(run->speed);
    }
    if (TW_CHANNELS > 4 && now_ms - refreshed_ms >= REFRESH_MS) {
        refreshed_ms = now_ms;
        refresh();
    }
}

/* The pin lets go of the line for a moment: if its resistor is there, and nothing else pulls, it stays low. */
bool hal_gate_low(void)
{
    if (shown.channel != 0U) {
        return true;
    }
    SPEED_release();
    _delay_us(2);
    bool high = SPEED_is_high();
    SPEED_drive();
    return !high;
}

void drive_cut(void)
{
    speed_off();
    cut = true;
}

bool hal_was_cut(void)
{
    return cut && shown.channel != 0U;
}

void drive_soft_start(void)
{
    if (TW_SOFT_START_MS == 0 || ramp_step == 0U || shown.channel == 0U || cut) {
        return;
    }
    uint16_t full = (uint16_t)(shown.speed << 8);
    if ((uint16_t)(full - ramp) <= ramp_step) {
        ramp = full;
        ramp_step = 0;
    } else {
        ramp += ramp_step;
    }
    OCR2B = (uint8_t)(ramp >> 8);
}
