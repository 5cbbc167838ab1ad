#include "knob.h"

#include "flash.h"

#define REST 3U

/* By old and new phases. Clockwise A closes first: 11, 01, 00, 10, 11. */
static const TW_FLASH int8_t TURNS[16] = {
    0, -1, 1, 0,  /* from 00 */
    1, 0, 0, -1,  /* from 01 */
    -1, 0, 0, 1,  /* from 10 */
    0, 1, -1, 0,  /* from 11 */
};

void tw_knob_init(struct tw_knob *knob)
{
    *knob = (struct tw_knob){.phases = REST};
}

void tw_knob_sample(struct tw_knob *knob, bool a, bool b)
{
    uint8_t phases = (uint8_t)((a ? 2U : 0U) | (b ? 1U : 0U));
    knob->quarters = (int8_t)(knob->quarters + TURNS[knob->phases * 4U + phases]);
    if (phases == REST && knob->phases != REST) {
        /* Four quarters are a click; two of them with a jump between still are, a bounce gives none. */
        if (knob->quarters >= 2 && knob->steps < INT16_MAX) {
            knob->steps++;
        } else if (knob->quarters <= -2 && knob->steps > INT16_MIN) {
            knob->steps--;
        }
        knob->quarters = 0;
    }
    knob->phases = phases;
}

int8_t tw_knob_take(struct tw_knob *knob, uint32_t now_ms)
{
    if (knob->steps == 0 || now_ms - knob->told_ms < TW_KNOB_REPORT_MS) {
        return 0;
    }
    int8_t steps = (int8_t)(knob->steps > 127 ? 127 : knob->steps < -127 ? -127 : knob->steps);
    knob->steps = (int16_t)(knob->steps - steps);
    knob->told_ms = now_ms;
    return steps;
}

void tw_button_init(struct tw_button *button)
{
    *button = (struct tw_button){0};
}

bool tw_button_sample(struct tw_button *button, bool pressed)
{
    button->history = (uint8_t)((uint8_t)(button->history << 1) | (pressed ? 1U : 0U));
    bool down = button->history == 0xFFU || (button->down && button->history != 0U);
    bool changed = down != button->down;
    button->down = down;
    return changed;
}
