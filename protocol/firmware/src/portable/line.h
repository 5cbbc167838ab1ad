/* One line to the host while it is being written; no printf, which would cost 1.5 KB of flash and much stack. */
#ifndef TAREWELL_LINE_H
#define TAREWELL_LINE_H

#include <stdint.h>

#include "flash.h"

#define TW_BOARD_LINE_MAX 96U /* line feed included */

/* The longest body is a `hello` answer of 81 characters (SPEC.md section 3, every field at its longest), so what
 * does not fit cannot come; it would be dropped and not written past the end. */
struct tw_line {
    char text[TW_BOARD_LINE_MAX];
    uint8_t length;
};

void tw_line_start(struct tw_line *line, char kind);
void tw_line_char(struct tw_line *line, char c);
void tw_line_word(struct tw_line *line, const TW_FLASH char *word);
void tw_line_unsigned(struct tw_line *line, uint32_t value);
void tw_line_signed(struct tw_line *line, int32_t value);
void tw_line_hex(struct tw_line *line, uint16_t value, uint8_t digits);
void tw_line_end(struct tw_line *line); /* asterisk, CRC, line feed */

/* The same with a space before it. */
void tw_line_next_word(struct tw_line *line, const TW_FLASH char *word);
void tw_line_next_unsigned(struct tw_line *line, uint32_t value);
void tw_line_next_signed(struct tw_line *line, int32_t value);
void tw_line_next_hex(struct tw_line *line, uint16_t value, uint8_t digits);

#endif
