#include "firmware.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "../portable/board.h"
#include "adc.h"
#include "drive.h"
#include "i2c.h"
#include "pin.h"
#include "reset.h"
#include "tick.h"
#include "uart.h"

/* The main loop ends a run within a pass; the tick cuts it so much later should the loop hang. Lease and this stay
 * within the 20 ms that SPEC.md section 7 allows over the lease, also with a clock 1 % slow. */
#define CUT_AFTER_MS 8U

static struct tw_board board;
static struct tw_button button;
static uint32_t last_ms;

void firmware_setup(void)
{
    cli();
    TIMSK0 = 0; /* a sketch's core counts milliseconds there; nothing here uses them */
    uart_setup(&board.out);
    pins_setup();
    drive_setup();
    i2c_setup();
    tick_setup();
    tw_button_init(&button);
    tw_board_init(&board, reset_cause(), 0);
    SMCR = 0; /* sleep is idle: timers, serial line and I2C go on and wake it */
    wdt_enable(WDTO_250MS);
    sei();
}

/* Fed only here: it starves when the main loop hangs and when the tick no longer comes. */
static void each_millisecond(uint32_t now_ms)
{
    wdt_reset();
    tw_board_tick(&board, now_ms);
    if (tw_button_sample(&button, !BUTTON_is_high())) {
        tw_board_press(&board, button.down, now_ms);
    }
    tw_board_turn(&board, tick_knob_steps(now_ms), now_ms);
}

static void read_adc(uint32_t now_ms)
{
    int32_t counts;
    if (adc_ready() && adc_read(&counts)) {
        tw_board_convert(&board, counts, now_ms);
    }
}

/* One line at most, so that a flood of bytes does not keep the loop from the ADC. */
static void read_line(uint32_t now_ms)
{
    uint8_t byte;
    while (uart_take(&byte) && !tw_board_byte(&board, byte, now_ms)) {
    }
    tw_count(&board.counters.overruns, uart_take_overruns());
}

static void drive(uint32_t now_ms)
{
    if (drive_was_cut()) { /* this pass itself was too long: what it has just renewed does not count */
        tw_board_stop(&board, TW_STOPPED_LEASE, now_ms);
    }
    uint16_t left_ms = tw_outputs_left_ms(&board.outputs, &board.cell, now_ms);
    tick_allow_ms(board.outputs.run.channel != 0U ? (uint16_t)(left_ms + CUT_AFTER_MS) : 0U);
    drive_apply(&board.outputs.run);
}

/* With interrupts off, what comes after the question keeps the sleep from starting: `sei` takes effect after the
 * instruction that follows it. The next tick wakes in any case. */
static void sleep_if_idle(uint32_t now_ms)
{
    cli();
    if (tick_low_byte() == (uint8_t)now_ms && !uart_has_byte() && !adc_ready()) {
        sleep_enable();
        sei();
        sleep_cpu();
        sleep_disable();
    }
    sei();
}

void firmware_loop(void)
{
    uint32_t now_ms = tick_now_ms();
    if (now_ms != last_ms) {
        last_ms = now_ms;
        each_millisecond(now_ms);
    }
    read_adc(now_ms);
    read_line(now_ms);
    drive(now_ms);
    uart_send();
    if (TW_HAS_DISPLAY) {
        i2c_step(&board.display, now_ms);
    }
    sleep_if_idle(now_ms);
}
