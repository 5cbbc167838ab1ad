#include "board.h"

#include <string.h>

#include "knob.h"
#include "messages.h"
#include "serve.h"

/* Room that samples leave for answers and events. A line that goes out behind a full ring less this room, 128 bytes
 * or 11 ms at 115200 baud, is still sent within the 20 ms of SPEC.md section 7. */
#define SAMPLE_LEAVES 127U

/* Never waits: what does not fit is dropped, samples first. The host sees gaps in numbers and asks again. */
static void send(struct tw_board *board, const struct tw_line *line, uint8_t leave)
{
    if (tw_ring_free(&board->out) < line->length + leave) {
        return;
    }
    for (uint8_t i = 0; i < line->length; i++) {
        tw_ring_put(&board->out, (uint8_t)line->text[i]);
    }
}

static void send_event(struct tw_board *board, const struct tw_line *line)
{
    board->next_event++;
    send(board, line, 0);
}

void tw_board_init(struct tw_board *board, const struct tw_boot *boot, uint32_t now_ms)
{
    struct tw_line line;
    memset(board, 0, sizeof *board); /* not a compound literal: that may build a second board on the stack */
    board->boot = *boot;
    tw_frame_init(&board->frame);
    tw_answers_forget(&board->answers);
    tw_outputs_init(&board->outputs, now_ms);
    board->outputs.latched = boot->latched;
    board->outputs.fault = boot->flash == TW_VERDICT_BAD || boot->ram == TW_VERDICT_BAD;
    tw_loadcell_init(&board->cell);
    tw_display_init(&board->display, now_ms);
    tw_ring_put(&board->out, '\n'); /* ends what the reset may have cut short, or the boot would be lost with it */
    tw_say(&line, board->next_event, TW_SAY_BOOT, (const uint32_t[]){boot->cause, boot->latched});
    send_event(board, &line);
}

void tw_board_stop(struct tw_board *board, enum tw_stop_cause cause, uint32_t now_ms)
{
    struct tw_line line;
    uint32_t ran_ms;
    if (tw_outputs_stop(&board->outputs, cause, now_ms, &ran_ms)) { /* so a session is open: nothing runs without */
        tw_say(&line, board->next_event, TW_SAY_STOPPED,
               (const uint32_t[]){board->outputs.last_run, board->outputs.last_channel, cause, now_ms, ran_ms});
        send_event(board, &line);
    }
}

static void choose_notice(struct tw_board *board)
{
    enum tw_notice notice = TW_NOTICE_NONE;
    if (!board->session || !board->host_there) {
        notice = board->outputs.latched ? TW_NOTICE_LATCHED : TW_NOTICE_NO_HOST;
    }
    if (notice != board->display.notice) {
        tw_display_notice(&board->display, notice);
    }
}

bool tw_board_byte(struct tw_board *board, uint8_t byte, uint32_t now_ms)
{
    struct tw_line answer;
    switch (tw_frame_take(&board->frame, byte)) {
    case TW_FRAME_NONE:
        return false;
    case TW_FRAME_OVERLONG:
        tw_count(&board->counters.overlong, 1);
        return false;
    case TW_FRAME_BAD:
        tw_count(&board->counters.bad_crc, 1);
        return false;
    case TW_FRAME_BODY:
        break;
    }
    if (!tw_serve(board, board->frame.body, board->frame.crc, now_ms, &answer)) {
        tw_count(&board->counters.bad_crc, 1);
        return false;
    }
    board->heard_ms = now_ms;
    board->host_there = true;
    choose_notice(board);
    send(board, &answer, 0);
    return true;
}

void tw_board_convert(struct tw_board *board, int32_t counts, uint32_t now_ms)
{
    struct tw_line line;
    tw_loadcell_convert(&board->cell, counts, now_ms, &board->counters);
    enum tw_stop_cause cause = tw_outputs_too_far(&board->outputs, &board->cell);
    if (cause != TW_STOPPED_NEVER) {
        tw_board_stop(board, cause, now_ms);
    }
    if (board->session) {
        struct tw_sample sample = {
            .board_ms = now_ms,
            .counts = counts,
            .number = board->cell.number,
            .mask = tw_outputs_mask(&board->outputs),
            .saturated = board->cell.saturated,
            .latched = board->outputs.latched,
            .lost = board->cell.late,
            .interlock_open = board->outputs.interlock_open,
            .supply_off = board->outputs.supply_off,
        };
        tw_say_sample(&line, &sample);
        send(board, &line, SAMPLE_LEAVES);
    }
}

void tw_board_gate(struct tw_board *board, bool low)
{
    board->outputs.gate_high = !low;
}

void tw_board_interlock(struct tw_board *board, bool open, uint32_t now_ms)
{
    board->outputs.interlock_open = TW_INTERLOCK && open;
    if (board->outputs.interlock_open) {
        tw_board_stop(board, TW_STOPPED_INTERLOCK, now_ms);
    }
}

void tw_board_supply(struct tw_board *board, bool off, uint32_t now_ms)
{
    struct tw_outputs *outputs = &board->outputs;
    bool lost = TW_SUPPLY_SENSE && off && !outputs->supply_off;
    outputs->supply_off = TW_SUPPLY_SENSE && off;
    if (lost) {
        outputs->latched = outputs->latched || board->session;
        tw_board_stop(board, TW_STOPPED_SUPPLY, now_ms);
    }
}

static void report_press(struct tw_board *board, enum tw_press press, uint32_t now_ms)
{
    struct tw_line line;
    if (board->session) {
        tw_say(&line, board->next_event, TW_SAY_BUTTON, (const uint32_t[]){press, now_ms});
        send_event(board, &line);
    }
}

void tw_board_press(struct tw_board *board, bool down, uint32_t now_ms)
{
    if (TW_KNOB && down != board->pressed) {
        board->pressed = down;
        board->pressed_ms = now_ms;
        board->long_told = false;
        report_press(board, down ? TW_PRESS_DOWN : TW_PRESS_UP, now_ms);
    }
}

void tw_board_turn(struct tw_board *board, int8_t steps, uint32_t now_ms)
{
    struct tw_line line;
    if (TW_KNOB && steps != 0 && board->session) {
        tw_say(&line, board->next_event, TW_SAY_KNOB, (const uint32_t[]){(uint32_t)steps, now_ms});
        send_event(board, &line);
    }
}

void tw_board_tick(struct tw_board *board, uint32_t now_ms)
{
    tw_loadcell_tick(&board->cell, now_ms);
    enum tw_stop_cause cause = tw_outputs_over(&board->outputs, &board->cell, now_ms);
    if (cause != TW_STOPPED_NEVER) {
        tw_board_stop(board, cause, now_ms);
    }
    if (board->pressed && !board->long_told && now_ms - board->pressed_ms >= TW_LONG_PRESS_MS) {
        board->long_told = true;
        report_press(board, TW_PRESS_LONG, now_ms);
    }
    if (board->host_there && now_ms - board->heard_ms >= TW_HOST_SILENT_MS) {
        board->host_there = false;
        choose_notice(board);
    }
}
