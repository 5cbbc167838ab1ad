/* What concerns the whole chip: start, watchdog, sleep. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "../../config.h"
#include "../board_hal.h"
#include "internal.h"
#include "pin.h"

/* 2048 cycles of an oscillator of its own, 16 ms at its nominal 128 kHz. README.md: why not more. */
#define WATCHDOG WDTO_15MS

struct tw_boot hal_setup(struct tw_ring *out)
{
    struct tw_boot boot = {.cause = reset_cause(), .latched = latch_kept(), .ram = reset_ram_verdict()};
    cli();
    TIMSK0 = 0; /* a sketch's core counts milliseconds there; nothing here uses them */
    uart_setup(out);
    pins_setup();
    drive_setup();
    i2c_setup();
    tick_setup();
    analog_setup();
    SMCR = 0; /* sleep is idle: timers, serial line and I2C go on and wake it */
    sei();
    boot.flash = image_verdict(&boot.flash_crc); /* 65 ms, in which the serial line is already heard */
    wdt_enable(WATCHDOG);
    return boot;
}

void hal_feed(void)
{
    wdt_reset();
    tick_fed();
}

/* With interrupts off, what comes after the question keeps the sleep from starting: `sei` takes effect after the
 * instruction that follows it. The next tick wakes in any case. */
void hal_sleep(uint32_t now_ms)
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

bool hal_button_down(void)
{
    return !BUTTON_is_high();
}
