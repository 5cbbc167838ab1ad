/* The serial line, both directions through rings. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../../config.h"
#include "../board_hal.h"
#include "internal.h"

/* With eight samples a bit; rounded to the nearest divider: 16 for 115200 (2.1 % fast), 7 for 250000 (exact). */
#define DIVIDER ((F_CPU + 4UL * TW_BAUD) / (8UL * TW_BAUD) - 1UL)

static struct tw_ring in;
static struct tw_ring *out;
static volatile uint8_t overruns;

ISR(USART_RX_vect)
{
    uint8_t status = UCSR0A; /* before the byte: reading that moves the status on */
    uint8_t byte = UDR0;
    bool kept = tw_ring_put(&in, byte);
    if (((status & _BV(DOR0)) || !kept) && overruns < UINT8_MAX) {
        overruns++;
    }
}

ISR(USART_UDRE_vect)
{
    uint8_t byte;
    if (tw_ring_take(out, &byte)) {
        UDR0 = byte;
    } else {
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
    }
}

void uart_setup(struct tw_ring *out_ring)
{
    out = out_ring;
    UBRR0 = (uint16_t)DIVIDER;
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00); /* 8 data bits, no parity, 1 stop bit */
    UCSR0B = _BV(RXCIE0) | _BV(RXEN0) | _BV(TXEN0);
}

bool hal_take_byte(uint8_t *byte)
{
    return tw_ring_take(&in, byte);
}

bool uart_has_byte(void)
{
    return tw_ring_used(&in) > 0U;
}

void hal_send(void)
{
    if (tw_ring_used(out) > 0U) {
        ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { UCSR0B |= _BV(UDRIE0); }
    }
}

uint8_t hal_take_overruns(void)
{
    uint8_t count;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        count = overruns;
        overruns = 0;
    }
    return count;
}
