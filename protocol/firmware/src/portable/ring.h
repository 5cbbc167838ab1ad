/* A ring of bytes between one writer and one reader, of which one may be an interrupt.
 *
 * 256 places, so that an 8-bit index wraps by itself and is read and written in one instruction; one place stays
 * free to tell full from empty. Everything is volatile: the byte must be in place before the index says so.
 */
#ifndef TAREWELL_RING_H
#define TAREWELL_RING_H

#include <stdbool.h>
#include <stdint.h>

struct tw_ring {
    volatile uint8_t head; /* written by the writer alone */
    volatile uint8_t tail; /* written by the reader alone */
    volatile uint8_t bytes[256];
};

static inline uint8_t tw_ring_used(const struct tw_ring *ring)
{
    return (uint8_t)(ring->head - ring->tail);
}

static inline uint8_t tw_ring_free(const struct tw_ring *ring)
{
    return (uint8_t)(255U - tw_ring_used(ring));
}

/* False when full; the byte is then lost. */
static inline bool tw_ring_put(struct tw_ring *ring, uint8_t byte)
{
    uint8_t head = ring->head;
    uint8_t next = (uint8_t)(head + 1U);
    if (next == ring->tail) {
        return false;
    }
    ring->bytes[head] = byte;
    ring->head = next;
    return true;
}

/* False when empty; `byte` is then untouched. */
static inline bool tw_ring_take(struct tw_ring *ring, uint8_t *byte)
{
    uint8_t tail = ring->tail;
    if (tail == ring->head) {
        return false;
    }
    *byte = ring->bytes[tail];
    ring->tail = (uint8_t)(tail + 1U);
    return true;
}

#endif
