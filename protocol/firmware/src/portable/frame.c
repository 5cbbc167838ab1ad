#include "frame.h"

#include "crc.h"

#define TAIL 5U /* "*" and four digits */

void tw_frame_init(struct tw_frame *frame)
{
    frame->length = 0;
    frame->skipping = false;
    frame->crc = 0;
}

uint8_t tw_hex_value(char digit)
{
    if (digit >= '0' && digit <= '9') {
        return (uint8_t)(digit - '0');
    }
    if (digit >= 'A' && digit <= 'F') {
        return (uint8_t)(digit - 'A' + 10);
    }
    return 0xFF;
}

static bool printable(char c)
{
    return c >= 0x20 && c <= 0x7E && c != '*';
}

/* Checks the whole line and leaves the body alone in `body`. */
static bool check(struct tw_frame *frame)
{
    if (frame->length < TAIL + 1U) {
        return false;
    }
    uint8_t end = (uint8_t)(frame->length - TAIL);
    if (frame->body[end] != '*') {
        return false;
    }
    uint16_t told = 0;
    for (uint8_t i = (uint8_t)(end + 1U); i < frame->length; i++) {
        uint8_t digit = tw_hex_value(frame->body[i]);
        if (digit > 0x0F) {
            return false;
        }
        told = (uint16_t)((told << 4) | digit);
    }
    uint16_t crc = TW_CRC_START;
    for (uint8_t i = 0; i < end; i++) {
        if (!printable(frame->body[i])) {
            return false;
        }
        crc = tw_crc_add(crc, (uint8_t)frame->body[i]);
    }
    frame->body[end] = '\0';
    frame->crc = crc;
    return crc == told;
}

enum tw_frame_result tw_frame_take(struct tw_frame *frame, uint8_t byte)
{
    if (byte == '\n') {
        bool skipped = frame->skipping;
        bool good = !skipped && check(frame);
        frame->length = 0;
        frame->skipping = false;
        return skipped ? TW_FRAME_NONE : good ? TW_FRAME_BODY : TW_FRAME_BAD;
    }
    if (frame->skipping) {
        return TW_FRAME_NONE;
    }
    if (frame->length + 1U >= TW_HOST_LINE_MAX) { /* the line feed would not fit any more */
        frame->skipping = true;
        return TW_FRAME_OVERLONG;
    }
    frame->body[frame->length++] = (char)byte;
    return TW_FRAME_NONE;
}
