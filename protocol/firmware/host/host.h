/* The portable part as a plain C library for tests: flat arguments, no structure to lay out twice. */
#ifndef TAREWELL_HOST_H
#define TAREWELL_HOST_H

#include <stddef.h>
#include <stdint.h>

struct tw_board;

/* The board. tw_host_board gives a new one, tw_host_free takes it back; causes and verdicts are numbered
 * as in wire.h. */
struct tw_board *tw_host_board(int cause, int latched, int verdict, uint32_t now_ms);
void tw_host_free(struct tw_board *board);
void tw_host_receive(struct tw_board *board, const uint8_t *bytes, size_t count, uint32_t now_ms);
void tw_host_convert(struct tw_board *board, int32_t counts, uint32_t now_ms);
void tw_host_press(struct tw_board *board, int down, uint32_t now_ms);
void tw_host_turn(struct tw_board *board, int steps, uint32_t now_ms);
void tw_host_interlock(struct tw_board *board, int open, uint32_t now_ms);
void tw_host_supply(struct tw_board *board, int off, uint32_t now_ms);
void tw_host_tick(struct tw_board *board, uint32_t now_ms);
void tw_host_overrun(struct tw_board *board, uint16_t bytes);

/* Takes what waits to be sent; the number of bytes, 255 at most. */
size_t tw_host_output(struct tw_board *board, uint8_t *bytes);

/* What it drives, by name: `channel` (0 for none), `reverse`, `speed`; and for how long without another word. */
int tw_host_drives(const struct tw_board *board, const char *what);
uint32_t tw_host_left_ms(const struct tw_board *board, uint32_t now_ms);

/* The display: the next byte for its expander or -1; that the bus failed; a line as the host wrote it. */
int tw_host_display_next(struct tw_board *board, uint32_t now_ms);
void tw_host_display_lost(struct tw_board *board, uint32_t now_ms);
void tw_host_display_text(const struct tw_board *board, int row, char *text);

/* Reads a frame's body. -1 when it is no request, otherwise the reason; `values` are sequence number, verb, then the
 * verb's fields in the order of the wire. `text` gets what is to be shown, 64 bytes. */
int tw_host_request(const char *body, int32_t *values, char *text);

/* Write lines to the host; each gives the number of bytes, 96 at most. `names` are firmware and board id. */
size_t tw_host_say(char *line, uint8_t number, int saying, const uint32_t *values);
size_t tw_host_say_hello(char *line, uint8_t seq, const int32_t *values, const char *const *names);
size_t tw_host_say_sample(char *line, const int64_t *values);

/* A knob and a button by themselves. */
void *tw_host_knob(void);
void tw_host_knob_sample(void *knob, int a, int b);
int tw_host_knob_take(void *knob, uint32_t now_ms);
void *tw_host_button(void);
int tw_host_button_sample(void *button, int pressed); /* -1 unchanged, 0 up, 1 down */

uint16_t tw_host_crc(const uint8_t *bytes, size_t count);
int32_t tw_host_counts(uint32_t code);

#endif
