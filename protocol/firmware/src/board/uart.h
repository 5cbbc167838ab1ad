/* The serial line, both directions through rings: no call here waits. */
#ifndef TAREWELL_UART_H
#define TAREWELL_UART_H

#include <stdbool.h>
#include <stdint.h>

#include "../portable/ring.h"

/* `out` is what will be sent. */
void uart_setup(struct tw_ring *out);

bool uart_take(uint8_t *byte);
bool uart_has_byte(void);

/* Goes on sending if `out` holds something. */
void uart_send(void);

/* Bytes lost since the last call, in the receiver or for want of room. */
uint8_t uart_take_overruns(void);

#endif
