#include "outputs.h"

#include "../../config.h"

void tw_outputs_init(struct tw_outputs *outputs, uint32_t now_ms)
{
    *outputs = (struct tw_outputs){.stopped_ms = now_ms - TW_REVERSAL_MS};
}

static bool within_limits(int32_t counts)
{
    return counts >= TW_LOWEST_COUNTS && counts <= TW_HIGHEST_COUNTS;
}

static bool beyond_limits(const struct tw_loadcell *cell)
{
    return cell->known && !within_limits(cell->counts);
}

/* Whether the last reading is past the ceiling of this run. */
static bool past(const struct tw_run *run, const struct tw_loadcell *cell)
{
    if (!cell->known) {
        return false;
    }
    return run->ceiling_above ? cell->counts >= run->ceiling_counts : cell->counts <= run->ceiling_counts;
}

enum tw_reason tw_outputs_refuse(const struct tw_outputs *outputs, const struct tw_run *run,
                                 const struct tw_loadcell *cell, bool session, uint32_t now_ms)
{
    const struct tw_run *now = &outputs->run;
    if (run->lease_ms > TW_LONGEST_LEASE_MS || run->max_ms > TW_LONGEST_RUN_MS ||
        !within_limits(run->ceiling_counts)) {
        return TW_NO_RANGE;
    }
    if (run->channel > TW_CHANNELS) {
        return TW_NO_CHANNEL;
    }
    if (now->channel != 0U ? now->channel != run->channel || now->reverse != run->reverse
                           : outputs->last_reverse != run->reverse &&
                                 now_ms - outputs->stopped_ms < TW_REVERSAL_MS) {
        return TW_NO_BUSY;
    }
    if (outputs->latched) {
        return TW_NO_LATCHED;
    }
    if (!session) {
        return TW_NO_SESSION;
    }
    if ((run->reverse && !TW_REVERSE) || (run->speed != 255U && !TW_VARIABLE_SPEED)) {
        return TW_NO_ABILITY;
    }
    if (outputs->fault || outputs->gate_high) {
        return TW_NO_FAULT;
    }
    if (outputs->supply_off) {
        return TW_NO_SUPPLY;
    }
    if (outputs->interlock_open) {
        return TW_NO_INTERLOCK;
    }
    if (beyond_limits(cell)) {
        return TW_NO_LIMIT;
    }
    if (past(run, cell)) {
        return TW_NO_CEILING;
    }
    return cell->fresh && !cell->saturated ? TW_OK : TW_NO_ADC;
}

void tw_outputs_run(struct tw_outputs *outputs, const struct tw_run *run, uint32_t now_ms)
{
    if (outputs->run.channel == 0U) {
        outputs->started_ms = now_ms;
    }
    outputs->run = *run;
    outputs->asked_ms = now_ms;
    outputs->renewed_ms = now_ms;
}

void tw_outputs_keep(struct tw_outputs *outputs, uint8_t number, uint16_t lease_ms, uint32_t now_ms)
{
    if (outputs->run.channel != 0U && outputs->run.number == number) {
        outputs->run.lease_ms = lease_ms;
        outputs->renewed_ms = now_ms;
    }
}

bool tw_outputs_stop(struct tw_outputs *outputs, enum tw_stop_cause cause, uint32_t now_ms, uint32_t *ran_ms)
{
    if (outputs->run.channel == 0U) {
        return false;
    }
    outputs->last_run = outputs->run.number;
    outputs->last_channel = outputs->run.channel;
    outputs->last_reverse = outputs->run.reverse;
    outputs->stopped_ms = now_ms;
    outputs->last_cause = cause;
    outputs->run.channel = 0;
    *ran_ms = now_ms - outputs->started_ms;
    return true;
}

enum tw_stop_cause tw_outputs_over(const struct tw_outputs *outputs, const struct tw_loadcell *cell,
                                   uint32_t now_ms)
{
    if (outputs->run.channel == 0U) {
        return TW_STOPPED_NEVER;
    }
    if (!cell->fresh) {
        return TW_STOPPED_ADC;
    }
    if (now_ms - outputs->asked_ms >= outputs->run.max_ms) {
        return TW_STOPPED_TIME;
    }
    return now_ms - outputs->renewed_ms >= outputs->run.lease_ms ? TW_STOPPED_LEASE : TW_STOPPED_NEVER;
}

enum tw_stop_cause tw_outputs_too_far(const struct tw_outputs *outputs, const struct tw_loadcell *cell)
{
    if (outputs->run.channel == 0U) {
        return TW_STOPPED_NEVER;
    }
    if (cell->saturated) {
        return TW_STOPPED_ADC;
    }
    if (beyond_limits(cell)) {
        return TW_STOPPED_LIMIT;
    }
    return past(&outputs->run, cell) ? TW_STOPPED_CEILING : TW_STOPPED_NEVER;
}

static uint32_t left(uint32_t limit_ms, uint32_t since_ms, uint32_t now_ms)
{
    uint32_t passed_ms = now_ms - since_ms;
    return passed_ms < limit_ms ? limit_ms - passed_ms : 0U;
}

uint16_t tw_outputs_left_ms(const struct tw_outputs *outputs, const struct tw_loadcell *cell, uint32_t now_ms)
{
    if (outputs->run.channel == 0U) {
        return 0;
    }
    uint32_t min_ms = tw_loadcell_left_ms(cell, now_ms); /* 150 at most: the result fits 16 bits */
    uint32_t lease_ms = left(outputs->run.lease_ms, outputs->renewed_ms, now_ms);
    uint32_t time_ms = left(outputs->run.max_ms, outputs->asked_ms, now_ms);
    min_ms = lease_ms < min_ms ? lease_ms : min_ms;
    return (uint16_t)(time_ms < min_ms ? time_ms : min_ms);
}

uint8_t tw_outputs_mask(const struct tw_outputs *outputs)
{
    return outputs->run.channel != 0U ? (uint8_t)(1U << (outputs->run.channel - 1U)) : 0U;
}
