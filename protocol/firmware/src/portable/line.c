#include "line.h"

#include <stdbool.h>

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

/* Digits by subtraction: an AVR has no division, and 32 bits by 10 take 40 us for each digit. */
static const TW_FLASH uint32_t POWERS[10] = {1000000000UL, 100000000UL, 10000000UL, 1000000UL, 100000UL,
                                             10000UL,      1000UL,      100UL,      10UL,      1UL};

void tw_line_unsigned(struct tw_line *line, uint32_t value)
{
    bool begun = false;
    for (uint8_t place = 0; place < 10U; place++) {
        uint32_t power = POWERS[place];
        char digit = '0';
        while (value >= power) {
            value -= power;
            digit++;
        }
        begun = begun || digit != '0' || place == 9U;
        if (begun) {
            tw_line_char(line, digit);
        }
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

void tw_line_next_hex(struct tw_line *line, uint16_t value, uint8_t digits)
{
    tw_line_char(line, ' ');
    tw_line_hex(line, value, digits);
}
