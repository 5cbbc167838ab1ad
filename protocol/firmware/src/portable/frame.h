/* Cuts bytes from the host into lines and checks their form, SPEC.md section 1. Never holds more than one line. */
#ifndef TAREWELL_FRAME_H
#define TAREWELL_FRAME_H

#include <stdbool.h>
#include <stdint.h>

#define TW_HOST_LINE_MAX 63U /* line feed included */

enum tw_frame_result {
    TW_FRAME_NONE,     /* the line goes on */
    TW_FRAME_BODY,     /* `body` holds an intact one, zero-terminated, until the next byte is given */
    TW_FRAME_BAD,      /* a line that was no frame, or whose CRC is another one */
    TW_FRAME_OVERLONG, /* told once, at the byte that does not fit; the rest of the line is dropped */
};

struct tw_frame {
    char body[TW_HOST_LINE_MAX];
    uint8_t length;
    bool skipping;
    uint16_t crc; /* of `body`, once it is whole */
};

void tw_frame_init(struct tw_frame *frame);
enum tw_frame_result tw_frame_take(struct tw_frame *frame, uint8_t byte);

/* Value of an upper-case hexadecimal digit, or 0xFF. */
uint8_t tw_hex_value(char digit);

#endif
