#include "loadcell.h"

#include "../../config.h"

void tw_loadcell_init(struct tw_loadcell *cell)
{
    *cell = (struct tw_loadcell){0};
}

int32_t tw_loadcell_counts(uint32_t code)
{
    code &= 0xFFFFFFUL;
    return (code & 0x800000UL) ? (int32_t)code - 0x1000000L : (int32_t)code;
}

/* Conversions that should have come in `gap_ms`, to the nearest; a tie goes to the even number. */
static uint16_t conversions_in(uint32_t gap_ms)
{
    if (gap_ms > UINT32_MAX / TW_SAMPLE_RATE_TENTHS) {
        return UINT16_MAX;
    }
    uint32_t parts = gap_ms * TW_SAMPLE_RATE_TENTHS;
    uint32_t whole = parts / 10000U;
    uint16_t rest = (uint16_t)(parts % 10000U);
    if (rest > 5000U || (rest == 5000U && (whole & 1U))) {
        whole++;
    }
    return whole < UINT16_MAX ? (uint16_t)whole : UINT16_MAX;
}

void tw_loadcell_convert(struct tw_loadcell *cell, int32_t counts, uint32_t now_ms, struct tw_counters *counters)
{
    uint32_t gap_ms = now_ms - cell->taken_ms;
    cell->late = cell->known && gap_ms > 15000U / TW_SAMPLE_RATE_TENTHS; /* over one and a half periods */
    if (cell->late) {
        tw_count(&counters->late, 1);
        tw_count(&counters->lost, (uint16_t)(conversions_in(gap_ms) - 1U));
    }
    cell->saturated = counts == TW_COUNTS_MIN || counts == TW_COUNTS_MAX;
    if (cell->saturated) {
        tw_count(&counters->saturated, 1);
    }
    cell->counts = counts;
    cell->taken_ms = now_ms;
    cell->number++;
    cell->known = true;
    cell->fresh = true;
}

void tw_loadcell_tick(struct tw_loadcell *cell, uint32_t now_ms)
{
    if (cell->fresh && now_ms - cell->taken_ms >= TW_ADC_GUARD_MS) {
        cell->fresh = false;
    }
}

uint16_t tw_loadcell_left_ms(const struct tw_loadcell *cell, uint32_t now_ms)
{
    uint32_t age_ms = now_ms - cell->taken_ms;
    return cell->fresh && age_ms < TW_ADC_GUARD_MS ? (uint16_t)(TW_ADC_GUARD_MS - age_ms) : 0U;
}
