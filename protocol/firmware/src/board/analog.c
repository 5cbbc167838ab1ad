/* The two inputs that only the small boards have, A6 and A7: one conversion of the chip's own ADC a millisecond. */
#include <avr/io.h>

#include "../../config.h"
#include "../../pins.h"
#include "../board_hal.h"
#include "internal.h"

#define HALF_SCALE 512U
#define STEADY 5U /* samples, so many must agree before a level counts */

#define INPUT_CHANNEL(name, channel, label, purpose) name##_CHANNEL = (channel),
enum { ANALOG_INPUTS(INPUT_CHANNEL) };

struct level {
    uint8_t channel;
    uint8_t differing; /* samples in a row */
    bool high;
};

static struct level supply = {.channel = SUPPLY_CHANNEL};                           /* off, and open, */
static struct level interlock = {.channel = INTERLOCK_CHANNEL, .high = true}; /* until seen otherwise */

static void convert(uint8_t channel)
{
    ADMUX = (uint8_t)(_BV(REFS0) | channel); /* against the chip's own supply */
    ADCSRA |= _BV(ADSC);
}

void analog_setup(void)
{
    if (TW_SUPPLY_SENSE || TW_INTERLOCK) {
        ADCSRA = _BV(ADEN) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0); /* 16 MHz / 128: a conversion takes 0.1 ms */
        convert(TW_INTERLOCK ? INTERLOCK_CHANNEL : SUPPLY_CHANNEL);
    }
}

/* Takes the conversion, if it is this input's, and starts the next one, which is the other input's if there is one. */
static bool is_high(struct level *level, uint16_t threshold, uint8_t next_channel)
{
    if ((ADMUX & 0x0FU) == level->channel && (ADCSRA & _BV(ADSC)) == 0U) {
        level->differing = (ADC >= threshold) != level->high ? (uint8_t)(level->differing + 1U) : 0U;
        if (level->differing >= STEADY) {
            level->high = !level->high;
            level->differing = 0;
        }
        convert(next_channel);
    }
    return level->high;
}

bool hal_interlock_open(void)
{
    return is_high(&interlock, HALF_SCALE, TW_SUPPLY_SENSE ? SUPPLY_CHANNEL : INTERLOCK_CHANNEL);
}

bool hal_supply_off(void)
{
    return !is_high(&supply, TW_SUPPLY_LEAST, TW_INTERLOCK ? INTERLOCK_CHANNEL : SUPPLY_CHANNEL);
}
