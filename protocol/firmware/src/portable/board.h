/* The board of SPEC.md: requests, outputs that end by themselves, samples and events.
 *
 * It knows no register: bytes, conversions, clicks and the clock are told to it; what to drive, to show and to send is
 * read from it. Every time is milliseconds of the board's clock, 32 bits, wrapping. Call tw_board_tick at each new
 * millisecond and before anything else of that millisecond.
 */
#ifndef TAREWELL_BOARD_H
#define TAREWELL_BOARD_H

#include <stdbool.h>
#include <stdint.h>

#include "answers.h"
#include "counters.h"
#include "display.h"
#include "frame.h"
#include "loadcell.h"
#include "outputs.h"
#include "ring.h"
#include "wire.h"

/* The host counts as gone when no request came for so long; only the display tells. Three times what the host itself
 * allows for silence, so that a session that goes on never flickers. */
#define TW_HOST_SILENT_MS 1500U

/* What the hardware part knows of the start: why, what outlived the reset, and what the self-test found. */
struct tw_boot {
    enum tw_reset_cause cause;
    bool latched;
    enum tw_verdict flash;
    uint16_t flash_crc;
    enum tw_verdict ram;
};

struct tw_board {
    struct tw_ring out; /* lines to the host */
    struct tw_frame frame;
    struct tw_answers answers;
    struct tw_outputs outputs;
    struct tw_loadcell cell;
    struct tw_counters counters;
    struct tw_display display;
    uint32_t heard_ms;
    uint32_t pressed_ms;
    uint16_t nonce;
    struct tw_boot boot;
    uint8_t next_event;
    bool session;
    bool host_there;
    bool pressed;
    bool long_told;
};

void tw_board_init(struct tw_board *board, const struct tw_boot *boot, uint32_t now_ms);

/* A byte from the host; true when it ended a request, so that the caller may look at something else. */
bool tw_board_byte(struct tw_board *board, uint8_t byte, uint32_t now_ms);

/* A conversion has ended. */
void tw_board_convert(struct tw_board *board, int32_t counts, uint32_t now_ms);

/* The button went down or up, the knob was turned. */
void tw_board_press(struct tw_board *board, bool down, uint32_t now_ms);
void tw_board_turn(struct tw_board *board, int8_t steps, uint32_t now_ms);

/* Whether the gate of all pumps is low while none runs; one that is held high from outside forbids a run. */
void tw_board_gate(struct tw_board *board, bool low);

/* The interlock as it is, and the pump supply. Each stops what runs; the loss of the supply while a session is open
 * latches the emergency stop, since whoever switched it off must look before it goes on. */
void tw_board_interlock(struct tw_board *board, bool open, uint32_t now_ms);
void tw_board_supply(struct tw_board *board, bool off, uint32_t now_ms);

/* Ends what is over. */
void tw_board_tick(struct tw_board *board, uint32_t now_ms);

/* Stops what runs and reports it. */
void tw_board_stop(struct tw_board *board, enum tw_stop_cause cause, uint32_t now_ms);

#endif
