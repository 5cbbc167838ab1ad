#include "host.h"

#include <stdlib.h>
#include <string.h>

#include "../src/portable/board.h"
#include "../src/portable/crc.h"
#include "../src/portable/knob.h"
#include "../src/portable/messages.h"

struct tw_board *tw_host_board(int cause, int latched, int verdict, uint32_t now_ms)
{
    const struct tw_boot boot = {.cause = (enum tw_reset_cause)cause,
                                 .latched = latched != 0,
                                 .flash = (enum tw_verdict)verdict,
                                 .ram = (enum tw_verdict)verdict};
    struct tw_board *board = malloc(sizeof *board);
    if (board != NULL) {
        tw_board_init(board, &boot, now_ms);
    }
    return board;
}

void tw_host_free(struct tw_board *board)
{
    free(board);
}

void tw_host_receive(struct tw_board *board, const uint8_t *bytes, size_t count, uint32_t now_ms)
{
    for (size_t i = 0; i < count; i++) {
        tw_board_byte(board, bytes[i], now_ms);
    }
}

void tw_host_convert(struct tw_board *board, int32_t counts, uint32_t now_ms)
{
    tw_board_convert(board, counts, now_ms);
}

void tw_host_press(struct tw_board *board, int down, uint32_t now_ms)
{
    tw_board_press(board, down != 0, now_ms);
}

void tw_host_turn(struct tw_board *board, int steps, uint32_t now_ms)
{
    tw_board_turn(board, (int8_t)steps, now_ms);
}

void tw_host_interlock(struct tw_board *board, int open, uint32_t now_ms)
{
    tw_board_interlock(board, open != 0, now_ms);
}

void tw_host_supply(struct tw_board *board, int off, uint32_t now_ms)
{
    tw_board_supply(board, off != 0, now_ms);
}

void tw_host_tick(struct tw_board *board, uint32_t now_ms)
{
    tw_board_tick(board, now_ms);
}

void tw_host_overrun(struct tw_board *board, uint16_t bytes)
{
    tw_count(&board->counters.overruns, bytes);
}

size_t tw_host_output(struct tw_board *board, uint8_t *bytes)
{
    size_t count = 0;
    while (tw_ring_take(&board->out, &bytes[count])) {
        count++;
    }
    return count;
}

int tw_host_drives(const struct tw_board *board, const char *what)
{
    const struct tw_run *run = &board->outputs.run;
    const struct {
        const char *name;
        int value;
    } driven[] = {
        {"channel", run->channel},
        {"reverse", run->reverse},
        {"speed", run->channel != 0U ? run->speed : 0},
    };
    for (size_t i = 0; i < sizeof driven / sizeof driven[0]; i++) {
        if (strcmp(driven[i].name, what) == 0) {
            return driven[i].value;
        }
    }
    return -1;
}

uint32_t tw_host_left_ms(const struct tw_board *board, uint32_t now_ms)
{
    return tw_outputs_left_ms(&board->outputs, &board->cell, now_ms);
}

int tw_host_display_next(struct tw_board *board, uint32_t now_ms)
{
    uint8_t byte;
    return tw_display_next(&board->display, now_ms, &byte) ? byte : -1;
}

void tw_host_display_lost(struct tw_board *board, uint32_t now_ms)
{
    tw_display_restart(&board->display, 1000U, now_ms);
}

void tw_host_display_text(const struct tw_board *board, int row, char *text)
{
    memcpy(text, &board->display.text[row * TW_DISPLAY_COLUMNS], TW_DISPLAY_COLUMNS);
    text[TW_DISPLAY_COLUMNS] = '\0';
}

int tw_host_request(const char *body, int32_t *values, char *text)
{
    struct tw_request request;
    enum tw_reason reason;
    if (!tw_request_read(body, &request, &reason)) {
        return -1;
    }
    *values++ = request.seq;
    *values++ = request.verb;
    if (reason != TW_OK) {
        return (int)reason;
    }
    for (uint8_t place = 0; place < TW_FIELDS; place++) {
        if (tw_request_verb_of(place) == request.verb) {
            *values++ = request.field[place];
        }
    }
    if (request.verb == TW_SHOW) {
        strcpy(text, request.text);
    }
    return (int)reason;
}

static size_t take_line(char *text, const struct tw_line *line)
{
    memcpy(text, line->text, line->length);
    return line->length;
}

size_t tw_host_say(char *text, uint8_t number, int saying, const uint32_t *values)
{
    struct tw_line line;
    tw_say(&line, number, (enum tw_saying)saying, values);
    return take_line(text, &line);
}

size_t tw_host_say_hello(char *text, uint8_t seq, const int32_t *n, const char *const *names)
{
    struct tw_line line;
    struct tw_identity identity = {.firmware = names[0],
                                   .board_id = names[1],
                                   .protocol = TW_PROTOCOL,
                                   .channels = (uint8_t)n[0],
                                   .sample_rate_tenths = (uint16_t)n[1],
                                   .filter_delay_ms = (uint16_t)n[2],
                                   .full_scale_counts = (uint32_t)n[3],
                                   .reverse = n[4] != 0,
                                   .variable_speed = n[5] != 0,
                                   .knob = n[6] != 0,
                                   .interlock = n[7] != 0,
                                   .supply_sense = n[8] != 0,
                                   .columns = (uint8_t)n[9],
                                   .rows = (uint8_t)n[10],
                                   .cause = (enum tw_reset_cause)n[11]};
    tw_say_identity(&line, seq, &identity);
    return take_line(text, &line);
}

size_t tw_host_say_sample(char *text, const int64_t *n)
{
    struct tw_line line;
    struct tw_sample sample = {(uint32_t)n[0], (int32_t)n[2], (uint16_t)n[1], (uint8_t)n[3], n[4] != 0,
                               n[5] != 0,      n[6] != 0,     n[7] != 0,      n[8] != 0};
    tw_say_sample(&line, &sample);
    return take_line(text, &line);
}

void *tw_host_knob(void)
{
    struct tw_knob *knob = malloc(sizeof *knob);
    if (knob != NULL) {
        tw_knob_init(knob);
    }
    return knob;
}

void tw_host_knob_sample(void *knob, int a, int b)
{
    tw_knob_sample(knob, a != 0, b != 0);
}

int tw_host_knob_take(void *knob, uint32_t now_ms)
{
    return tw_knob_take(knob, now_ms);
}

void *tw_host_button(void)
{
    struct tw_button *button = malloc(sizeof *button);
    if (button != NULL) {
        tw_button_init(button);
    }
    return button;
}

int tw_host_button_sample(void *button, int pressed)
{
    bool changed = tw_button_sample(button, pressed != 0);
    return changed ? ((const struct tw_button *)button)->down : -1;
}

uint16_t tw_host_crc(const uint8_t *bytes, size_t count)
{
    uint16_t crc = TW_CRC_START;
    for (size_t i = 0; i < count; i++) {
        crc = tw_crc_add(crc, bytes[i]);
    }
    return crc;
}

int32_t tw_host_counts(uint32_t code)
{
    return tw_loadcell_counts(code);
}
