#include "firmware.h"

#include "board_hal.h"
#include "portable/knob.h"

/* The main loop ends a run within a pass; an interrupt cuts it so much later should the loop hang. Lease and this stay
 * within the 20 ms that SPEC.md section 7 allows over the lease, also with a clock 1 % slow. */
#define CUT_AFTER_MS 8U

static struct tw_board board;
static struct tw_button button;
static uint32_t last_ms;

void firmware_setup(void)
{
    struct tw_boot boot = hal_setup(&board.out);
    tw_button_init(&button);
    last_ms = hal_now_ms();
    tw_board_init(&board, &boot, last_ms);
}

static void each_millisecond(uint32_t now_ms)
{
    hal_feed();
    tw_board_tick(&board, now_ms);
    tw_board_gate(&board, hal_gate_low());
    if (TW_INTERLOCK) {
        tw_board_interlock(&board, hal_interlock_open(), now_ms);
    }
    if (TW_SUPPLY_SENSE) {
        tw_board_supply(&board, hal_supply_off(), now_ms);
    }
    if (tw_button_sample(&button, hal_button_down())) {
        tw_board_press(&board, button.down, now_ms);
    }
    tw_board_turn(&board, hal_knob_steps(now_ms), now_ms);
}

static void read_adc(uint32_t now_ms)
{
    int32_t counts;
    if (hal_convert(&counts)) {
        tw_board_convert(&board, counts, now_ms);
    }
}

/* One request at most, so that a flood of them does not keep the loop from the ADC. Noise costs no pass: what is no
 * request is read over, a ring's worth at most. */
static void read_line(uint32_t now_ms)
{
    uint8_t byte;
    for (uint8_t left = UINT8_MAX; left > 0U && hal_take_byte(&byte); left--) {
        if (tw_board_byte(&board, byte, now_ms)) {
            break;
        }
    }
    tw_count(&board.counters.overruns, hal_take_overruns());
}

static void drive(uint32_t now_ms)
{
    if (hal_was_cut()) { /* this pass itself was too long: what it has just renewed does not count */
        tw_board_stop(&board, TW_STOPPED_LEASE, now_ms);
    }
    uint16_t left_ms = tw_outputs_left_ms(&board.outputs, &board.cell, now_ms);
    hal_allow_ms(board.outputs.run.channel != 0U ? (uint16_t)(left_ms + CUT_AFTER_MS) : 0U);
    hal_drive(&board.outputs.run, now_ms);
    hal_keep_latch(board.outputs.latched);
}

void firmware_loop(void)
{
    uint32_t now_ms = hal_now_ms();
    if (now_ms != last_ms) {
        last_ms = now_ms;
        each_millisecond(now_ms);
    }
    read_adc(now_ms);
    read_line(now_ms);
    drive(now_ms);
    hal_send();
    if (TW_HAS_DISPLAY) {
        hal_show(&board.display, now_ms);
    }
    hal_sleep(now_ms);
}
