#include "host.h"

#include <stdlib.h>
#include <string.h>

#include "../src/portable/board.h"
#include "../src/portable/crc.h"
#include "../src/portable/knob.h"
#include "../src/portable/messages.h"

struct tw_board *tw_host_board(int cause, uint32_t now_ms)
{
    struct tw_board *board = malloc(sizeof *board);
    if (board != NULL) {
        tw_board_init(board, (enum tw_reset_cause)cause, now_ms);
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

int tw_host_channel(const struct tw_board *board)
{
    return board->outputs.run.channel;
}

int tw_host_reverse(const struct tw_board *board)
{
    return board->outputs.run.reverse;
}

int tw_host_speed(const struct tw_board *board)
{
    return board->outputs.run.channel != 0U ? board->outputs.run.speed : 0;
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

static void run_fields(const struct tw_run *run, int32_t *fields)
{
    fields[0] = run->channel;
    fields[1] = run->reverse;
    fields[2] = run->speed;
    fields[3] = run->lease_ms;
    fields[4] = run->ceiling_above;
    fields[5] = run->ceiling_counts;
    fields[6] = (int32_t)run->max_ms;
}

int tw_host_request(const char *body, int32_t fields[9], char *text)
{
    struct tw_request request;
    enum tw_reason reason;
    if (!tw_request_read(body, &request, &reason)) {
        return -1;
    }
    fields[0] = request.seq;
    fields[1] = request.verb;
    if (reason != TW_OK) {
        return (int)reason;
    }
    switch (request.verb) {
    case TW_HELLO:
        fields[2] = request.as.hello.protocol;
        fields[3] = request.as.hello.nonce;
        break;
    case TW_RUN:
        run_fields(&request.as.run, &fields[2]);
        break;
    case TW_KEEP:
        fields[2] = request.as.keep_lease_ms;
        break;
    case TW_STOP:
        fields[2] = request.as.stop_channel;
        break;
    case TW_SHOW:
        fields[2] = request.as.show.line;
        strncpy(text, request.as.show.text, TW_SHOW_TEXT_MAX + 1U);
        break;
    default:
        break;
    }
    return (int)reason;
}

static void say_report(struct tw_line *line, const char *kind, const int64_t *n)
{
    if (strcmp(kind, "stopped") == 0) {
        tw_say_stopped(line, (uint8_t)n[0], (uint8_t)n[1], (enum tw_stop_cause)n[2], (uint32_t)n[3],
                       (uint32_t)n[4]);
    } else if (strcmp(kind, "button") == 0) {
        tw_say_button(line, (uint8_t)n[0], (enum tw_press)n[1], (uint32_t)n[2]);
    } else if (strcmp(kind, "knob") == 0) {
        tw_say_knob(line, (uint8_t)n[0], (int8_t)n[1], (uint32_t)n[2]);
    } else if (strcmp(kind, "boot") == 0) {
        tw_say_boot(line, (uint8_t)n[0], (enum tw_reset_cause)n[1]);
    }
}

static void say_identity(struct tw_line *line, const int64_t *n, const char *const *names)
{
    struct tw_identity identity = {.firmware = names[0],
                                   .board_id = names[1],
                                   .protocol = (uint8_t)n[1],
                                   .channels = (uint8_t)n[2],
                                   .sample_rate_hz = (uint16_t)n[3],
                                   .full_scale_counts = (uint32_t)n[4],
                                   .reverse = n[5] != 0,
                                   .variable_speed = n[6] != 0,
                                   .knob = n[7] != 0,
                                   .columns = (uint8_t)n[8],
                                   .rows = (uint8_t)n[9],
                                   .cause = (enum tw_reset_cause)n[10]};
    tw_say_identity(line, (uint8_t)n[0], &identity);
}

size_t tw_host_say(char *text, const char *kind, const int64_t *n, const char *const *names)
{
    struct tw_line line = {.length = 0};
    if (strcmp(kind, "sample") == 0) {
        struct tw_sample sample = {(uint32_t)n[0], (int32_t)n[2], (uint16_t)n[1], (uint8_t)n[3],
                                   n[4] != 0,      n[5] != 0,     n[6] != 0};
        tw_say_sample(&line, &sample);
    } else if (strcmp(kind, "plain") == 0) {
        tw_say_plain(&line, (uint8_t)n[0], (enum tw_reason)n[1]);
    } else if (strcmp(kind, "hello") == 0) {
        say_identity(&line, n, names);
    } else if (strcmp(kind, "state") == 0) {
        struct tw_state state = {(uint8_t)n[1], n[2] != 0, (uint8_t)n[3], (enum tw_stop_cause)n[4], (uint8_t)n[5]};
        tw_say_state(&line, (uint8_t)n[0], &state);
    } else if (strcmp(kind, "stats") == 0) {
        struct tw_counters counters = {(uint16_t)n[1], (uint16_t)n[2], (uint16_t)n[3], (uint16_t)n[4],
                                       (uint16_t)n[5], (uint16_t)n[6], (uint16_t)n[7]};
        tw_say_stats(&line, (uint8_t)n[0], &counters);
    } else if (strcmp(kind, "limits") == 0) {
        struct tw_limits limits = {(uint32_t)n[2], (int32_t)n[3], (int32_t)n[4], (uint16_t)n[1]};
        tw_say_limits(&line, (uint8_t)n[0], &limits);
    } else {
        say_report(&line, kind, n);
    }
    memcpy(text, line.text, line.length);
    return line.length;
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
