#include "line.h"

#include "crc.h"

#define TAIL 6U /* "*", four digits, line feed */

static void put(struct tw_line *line, char c)
{
    if (line->length < TW_BOARD_LINE_MAX) {
        line->text[line->length++] = c;
    }
}

void tw_line_start(struct tw_line *line, char kind)
{
    line->length = 0;
    put(line, kind);
}

void tw_line_char(struct tw_line *line, char c)
{
    if (line->length < TW_BOARD_LINE_MAX - TAIL) {
        put(line, c);
    }
}

void tw_line_word(struct tw_line *line, const TW_FLASH char *word)
{
    for (char c; (c = *word) != '\0'; word++) {
        tw_line_char(line, c);
    }
}

void tw_line_unsigned(struct tw_line *line, uint32_t value)
{
    char digits[10];
    uint8_t count = 0;
    do {
        digits[count++] = (char)('0' + value % 10U);
        value /= 10U;
    } while (value > 0U);
    while (count > 0U) {
        tw_line_char(line, digits[--count]);
    }
}

void tw_line_signed(struct tw_line *line, int32_t value)
{
    if (value < 0) {
        tw_line_char(line, '-');
    }
    tw_line_unsigned(line, value < 0 ? 0U - (uint32_t)value : (uint32_t)value);
}

static char hex_digit(uint16_t value)
{
    static const TW_FLASH char DIGITS[] = "0123456789ABCDEF";
    return DIGITS[value & 0x0FU];
}

void tw_line_hex(struct tw_line *line, uint16_t value, uint8_t digits)
{
    while (digits-- > 0U) {
        tw_line_char(line, hex_digit((uint16_t)(value >> (4U * digits))));
    }
}

void tw_line_end(struct tw_line *line)
{
    uint16_t crc = TW_CRC_START;
    for (uint8_t i = 0; i < line->length; i++) {
        crc = tw_crc_add(crc, (uint8_t)line->text[i]);
    }
    put(line, '*');
    for (uint8_t digit = 4; digit-- > 0U;) {
        put(line, hex_digit((uint16_t)(crc >> (4U * digit))));
    }
    put(line, '\n');
}

void tw_line_next_word(struct tw_line *line, const TW_FLASH char *word)
{
    tw_line_char(line, ' ');
    tw_line_word(line, word);
}

void tw_line_next_unsigned(struct tw_line *line, uint32_t value)
{
    tw_line_char(line, ' ');
    tw_line_unsigned(line, value);
}

void tw_line_next_signed(struct tw_line *line, int32_t value)
{
    tw_line_char(line, ' ');
    tw_line_signed(line, value);
}

void tw_line_next_hex(struct tw_line *line, uint8_t value)
{
    tw_line_char(line, ' ');
    tw_line_hex(line, value, 2);
}
