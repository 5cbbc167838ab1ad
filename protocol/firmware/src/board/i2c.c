/* Sends the display's bytes over I2C at 100 kHz, one step a call. A display that is missing, or that holds the bus,
 * costs a retry a second and nothing else. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <stdbool.h>
#include <util/delay.h>
#include <util/twi.h>

#include "../../config.h"
#include "../board_hal.h"
#include "internal.h"
#include "pin.h"

#define STUCK_MS 10U  /* a byte takes 0.09 ms */
#define RETRY_MS 1000U

#define GO (_BV(TWINT) | _BV(TWEN) | _BV(TWIE))
#define STOP (_BV(TWINT) | _BV(TWEN) | _BV(TWSTO))

static enum { IDLE, SENDING, STOPPING } state;
static uint8_t first; /* byte that goes out after the address */
static uint32_t step_ms;

/* Only wakes the main loop: the flag stays up, since writing it as 0 does not clear it. */
ISR(TWI_vect)
{
    TWCR = _BV(TWEN);
}

void i2c_setup(void)
{
    TWSR = 0;
    TWBR = (uint8_t)((F_CPU / 100000UL - 16UL) / 2UL);
    TWCR = _BV(TWEN);
}

/* A display that was cut off in mid-byte, by a reset of this chip, may hold the data line until it is clocked on: nine
 * clocks end any byte. Takes 0.1 ms. */
static void free_bus(void)
{
    TWCR = 0;
    for (uint8_t clock = 0; clock < 9U; clock++) {
        DISPLAY_SCL_low();
        DISPLAY_SCL_drive();
        _delay_us(5);
        DISPLAY_SCL_release();
        DISPLAY_SCL_high();
        _delay_us(5);
    }
    TWCR = _BV(TWEN);
}

static void stop(void)
{
    TWCR = STOP;
    state = STOPPING;
}

static void send(uint8_t byte)
{
    TWDR = byte;
    TWCR = GO;
}

static void next_step(struct tw_display *display, uint32_t now_ms)
{
    uint8_t byte;
    switch (TW_STATUS) {
    case TW_START:
        send((uint8_t)(TW_DISPLAY_ADDRESS << 1) | TW_WRITE);
        break;
    case TW_MT_SLA_ACK:
        send(first);
        break;
    case TW_MT_DATA_ACK:
        if (tw_display_next(display, now_ms, &byte)) {
            send(byte);
        } else {
            stop();
        }
        break;
    default: /* nobody answers, or the bus was disturbed */
        stop();
        tw_display_restart(display, RETRY_MS, now_ms);
        break;
    }
}

void hal_show(struct tw_display *display, uint32_t now_ms)
{
    bool done = state == SENDING ? (TWCR & _BV(TWINT)) != 0U : (TWCR & _BV(TWSTO)) == 0U;
    if (!done) {
        if (now_ms - step_ms > STUCK_MS) { /* somebody holds the bus */
            free_bus();
            state = IDLE;
            tw_display_restart(display, RETRY_MS, now_ms);
        }
        return;
    }
    if (state == SENDING) {
        next_step(display, now_ms);
    } else if (tw_display_next(display, now_ms, &first)) {
        TWCR = GO | _BV(TWSTA);
        state = SENDING;
    } else {
        state = IDLE;
    }
    step_ms = now_ms;
}
