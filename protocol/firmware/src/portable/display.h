/* A character display (HD44780 kind) behind an 8-bit I2C expander, as a stream of expander bytes.
 *
 * It holds what the host wants to be seen and what is on the glass, and gives out, byte by byte, what makes the second
 * equal to the first. It never waits: where the controller needs time, there is no byte until the time has passed.
 */
#ifndef TAREWELL_DISPLAY_H
#define TAREWELL_DISPLAY_H

#include <stdbool.h>
#include <stdint.h>

#include "../../config.h"

#define TW_CELLS (TW_HAS_DISPLAY ? TW_DISPLAY_ROWS * TW_DISPLAY_COLUMNS : 1)

/* What the board shows by itself instead of the host's lines. */
enum tw_notice { TW_NOTICE_NONE, TW_NOTICE_NO_HOST, TW_NOTICE_LATCHED };

struct tw_display {
    char text[TW_CELLS];  /* the host's lines */
    char glass[TW_CELLS]; /* what the display shows; 0 where that is not known */
    uint8_t bytes[5];     /* for the expander, `given` of `filled` are out */
    uint8_t given;
    uint8_t filled;
    uint8_t setup;      /* next step of the set-up; past the last one when it is done */
    uint8_t cell;       /* where the search for a difference goes on */
    uint8_t unsearched; /* cells to look at before nothing can differ any more */
    uint8_t cursor;     /* cell that the controller would write next, or NOWHERE */
    uint16_t wait_ms;   /* no byte before this has passed since `waiting_ms` */
    uint32_t waiting_ms;
    enum tw_notice notice;
};

void tw_display_init(struct tw_display *display, uint32_t now_ms);

/* Writes one of the host's lines, padded with spaces and cut at the display's width. */
void tw_display_show(struct tw_display *display, uint8_t row, const char *text);

/* What to show instead of the host's lines. */
void tw_display_notice(struct tw_display *display, enum tw_notice notice);

/* Sets the controller up again after `wait_ms` and writes every character, so that a display that was away, or
 * that lost count of its half bytes, heals. */
void tw_display_restart(struct tw_display *display, uint16_t wait_ms, uint32_t now_ms);

/* The next byte for the expander; false when there is none now. */
bool tw_display_next(struct tw_display *display, uint32_t now_ms, uint8_t *byte);

#endif
