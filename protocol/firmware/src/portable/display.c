#include "display.h"

#include "flash.h"

/* Expander wiring (common practice, no source): P0 register select, P2 enable, P3 backlight, P4 to P7 data. */
#define RS 0x01U
#define ENABLE 0x04U
#define BACKLIGHT 0x08U

#define NOWHERE 0xFFU
#define SET_ADDRESS 0x80U
#define POWER_UP_MS 50U
#define CELLS_A_CALL 8U /* so that a call stays short when nothing differs */

/* The controller's start by instruction (its data sheet, 4-bit interface), each step with the wait after it. The
 * first four are half bytes. Waits are one tick longer than needed since a tick may be nearly over. */
#define HALF_BYTES 4U
static const TW_FLASH struct {
    uint8_t value;
    uint8_t wait_ms;
} SETUP[] = {{0x30, 6}, {0x30, 2}, {0x30, 2}, {0x20, 2}, {0x28, 2}, {0x0C, 2}, {0x06, 2}};
#define SETUP_STEPS (sizeof SETUP / sizeof SETUP[0])

static const TW_FLASH char NO_HOST[] = "No host";
static const TW_FLASH char PUMPS_OFF[] = "Pumps are off";
static const TW_FLASH char LATCHED[] = "Emergency stop";

void tw_display_init(struct tw_display *display, uint32_t now_ms)
{
    for (uint8_t i = 0; i < TW_CELLS; i++) {
        display->text[i] = ' ';
    }
    display->notice = TW_NOTICE_NO_HOST;
    tw_display_restart(display, POWER_UP_MS, now_ms);
}

void tw_display_restart(struct tw_display *display, uint16_t wait_ms, uint32_t now_ms)
{
    for (uint8_t i = 0; i < TW_CELLS; i++) {
        display->glass[i] = '\0';
    }
    display->given = 0;
    display->filled = 0;
    display->setup = 0;
    display->cell = 0;
    display->unsearched = TW_CELLS;
    display->cursor = NOWHERE;
    display->wait_ms = wait_ms;
    display->waiting_ms = now_ms;
}

void tw_display_show(struct tw_display *display, uint8_t row, const char *text)
{
    char *cell = &display->text[row * TW_DISPLAY_COLUMNS];
    for (uint8_t column = 0; column < TW_DISPLAY_COLUMNS; column++) {
        *cell++ = *text != '\0' ? *text++ : ' ';
    }
    display->unsearched = TW_CELLS;
}

void tw_display_notice(struct tw_display *display, enum tw_notice notice)
{
    display->notice = notice;
    display->unsearched = TW_CELLS;
}

static char notice_at(enum tw_notice notice, uint8_t cell)
{
    const TW_FLASH char *text = NO_HOST;
    if (cell >= TW_DISPLAY_COLUMNS) {
        text = notice == TW_NOTICE_LATCHED ? LATCHED : PUMPS_OFF;
        cell = (uint8_t)(cell - TW_DISPLAY_COLUMNS);
    }
    for (uint8_t i = 0; text[i] != '\0'; i++) {
        if (i == cell) {
            return text[i];
        }
    }
    return ' ';
}

static char wanted(const struct tw_display *display, uint8_t cell)
{
    return display->notice == TW_NOTICE_NONE ? display->text[cell] : notice_at(display->notice, cell);
}

/* Half a byte: register select settles before the enable pulse, data while it is high. */
static void half(struct tw_display *display, uint8_t bits)
{
    display->bytes[display->filled++] = (uint8_t)(bits | BACKLIGHT | ENABLE);
    display->bytes[display->filled++] = (uint8_t)(bits | BACKLIGHT);
}

static void fill(struct tw_display *display, uint8_t value, uint8_t rs, bool only_high)
{
    display->given = 0;
    display->filled = 0;
    display->bytes[display->filled++] = (uint8_t)((value & 0xF0U) | rs | BACKLIGHT);
    half(display, (uint8_t)((value & 0xF0U) | rs));
    if (!only_high) {
        half(display, (uint8_t)((uint8_t)(value << 4) | rs));
    }
}

/* Rows 0 and 1 start at 0x00 and 0x40; rows 2 and 3 are their continuation. */
static uint8_t address(uint8_t cell)
{
    uint8_t row = (uint8_t)(cell / TW_DISPLAY_COLUMNS);
    uint8_t column = (uint8_t)(cell % TW_DISPLAY_COLUMNS);
    return (uint8_t)((row & 1U ? 0x40U : 0x00U) + (row & 2U ? TW_DISPLAY_COLUMNS : 0U) + column);
}

static void next_setup(struct tw_display *display, uint32_t now_ms)
{
    fill(display, SETUP[display->setup].value, 0, display->setup < HALF_BYTES);
    display->wait_ms = SETUP[display->setup].wait_ms;
    display->waiting_ms = now_ms;
    display->setup++;
}

static void next_difference(struct tw_display *display)
{
    for (uint8_t i = 0; i < CELLS_A_CALL && display->unsearched > 0U; i++) {
        uint8_t cell = display->cell;
        char want = wanted(display, cell);
        if (want != display->glass[cell]) {
            if (display->cursor != cell) {
                fill(display, (uint8_t)(SET_ADDRESS | address(cell)), 0, false);
                display->cursor = cell;
                return;
            }
            fill(display, (uint8_t)want, RS, false);
            display->glass[cell] = want;
            uint8_t next = (uint8_t)(cell + 1U);
            display->cursor = next % TW_DISPLAY_COLUMNS == 0U ? NOWHERE : next;
            return;
        }
        display->unsearched--;
        display->cell = cell + 1U < TW_CELLS ? (uint8_t)(cell + 1U) : 0U;
    }
}

bool tw_display_next(struct tw_display *display, uint32_t now_ms, uint8_t *byte)
{
    if (!TW_HAS_DISPLAY) {
        return false;
    }
    if (display->given == display->filled) {
        if (display->wait_ms > 0U && now_ms - display->waiting_ms < display->wait_ms) {
            return false;
        }
        display->wait_ms = 0;
        if (display->setup < SETUP_STEPS) {
            next_setup(display, now_ms);
        } else {
            next_difference(display);
        }
    }
    if (display->given == display->filled) {
        return false;
    }
    *byte = display->bytes[display->given++];
    return true;
}
