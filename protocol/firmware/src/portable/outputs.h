/* Which pump may turn and what ends it, SPEC.md section 6. Nothing here touches a pin: the hardware part asks what
 * to drive and drives it. There is one place for a running pump, so two cannot run. */
#ifndef TAREWELL_OUTPUTS_H
#define TAREWELL_OUTPUTS_H

#include <stdbool.h>
#include <stdint.h>

#include "loadcell.h"
#include "wire.h"

/* The pumps stand still this long between two directions: a motor that still turns feeds back into its bridge. */
#define TW_REVERSAL_MS 100U

struct tw_run {
    int32_t ceiling_counts;
    uint32_t max_ms;
    uint16_t lease_ms;
    uint8_t number;  /* its name in `keep` and `stopped` */
    uint8_t channel; /* 1 to 8 */
    uint8_t speed;   /* 1 to 255 */
    bool reverse;
    bool ceiling_above;
};

struct tw_outputs {
    struct tw_run run; /* channel 0 while none runs */
    uint32_t started_ms;
    uint32_t asked_ms;   /* last run request: its time limit counts from here */
    uint32_t renewed_ms; /* last run or keep: the lease counts from here */
    uint32_t stopped_ms;
    bool latched;
    bool interlock_open;
    bool supply_off;
    bool gate_high;
    bool fault;           /* the board cannot trust itself */
    bool last_reverse;    /* direction of what stopped last */
    uint8_t last_run;
    uint8_t last_channel; /* what stopped last, 0 for none since reset */
    enum tw_stop_cause last_cause;
};

void tw_outputs_init(struct tw_outputs *outputs, uint32_t now_ms);

/* The first reason of SPEC.md section 3 that forbids this run, or TW_OK. */
enum tw_reason tw_outputs_refuse(const struct tw_outputs *outputs, const struct tw_run *run,
                                 const struct tw_loadcell *cell, bool session, uint32_t now_ms);

/* Starts it, or replaces what runs; only after tw_outputs_refuse gave TW_OK. */
void tw_outputs_run(struct tw_outputs *outputs, const struct tw_run *run, uint32_t now_ms);

/* Renews the lease of this run, if it is the one that runs. */
void tw_outputs_keep(struct tw_outputs *outputs, uint8_t number, uint16_t lease_ms, uint32_t now_ms);

/* Stops what runs. True when something did; `*ran_ms` is then how long. */
bool tw_outputs_stop(struct tw_outputs *outputs, enum tw_stop_cause cause, uint32_t now_ms, uint32_t *ran_ms);

/* Why what runs must stop now, by its clock or by its reading; TW_STOPPED_NEVER when it may go on. */
enum tw_stop_cause tw_outputs_over(const struct tw_outputs *outputs, const struct tw_loadcell *cell,
                                   uint32_t now_ms);
enum tw_stop_cause tw_outputs_too_far(const struct tw_outputs *outputs, const struct tw_loadcell *cell);

/* Milliseconds for which the pump may turn if nothing more is heard from host and ADC; 0 when none runs. */
uint16_t tw_outputs_left_ms(const struct tw_outputs *outputs, const struct tw_loadcell *cell, uint32_t now_ms);

/* Running channels as the wire has them: bit n-1 for channel n. */
uint8_t tw_outputs_mask(const struct tw_outputs *outputs);

#endif
