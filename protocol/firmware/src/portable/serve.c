#include "serve.h"

#include "build.h"
#include "messages.h"

static const TW_FLASH char FIRMWARE[] = TW_FIRMWARE;
static const TW_FLASH char BOARD_ID[] = TW_BOARD_ID;

static struct tw_run run_of(const struct tw_request *request)
{
    return (struct tw_run){
        .ceiling_counts = request->field[TW_RUN_CEILING_COUNTS],
        .max_ms = (uint32_t)request->field[TW_RUN_MAX_MS],
        .lease_ms = (uint16_t)request->field[TW_RUN_LEASE_MS],
        .number = (uint8_t)request->field[TW_RUN_NUMBER],
        .channel = (uint8_t)request->field[TW_RUN_CHANNEL],
        .speed = (uint8_t)request->field[TW_RUN_SPEED],
        .reverse = request->field[TW_RUN_DIRECTION] != 0,
        .ceiling_above = request->field[TW_RUN_CEILING_ABOVE] != 0,
    };
}

static enum tw_reason run(struct tw_board *board, const struct tw_request *request, uint32_t now_ms)
{
    struct tw_run wanted = run_of(request);
    enum tw_reason reason = tw_outputs_refuse(&board->outputs, &wanted, &board->cell, board->session, now_ms);
    if (reason == TW_OK) {
        tw_outputs_run(&board->outputs, &wanted, now_ms);
    }
    return reason;
}

static enum tw_reason show(struct tw_board *board, uint8_t row, const char *text)
{
    if (TW_HAS_DISPLAY && row + 1 > TW_DISPLAY_ROWS) {
        return TW_NO_RANGE;
    }
    if (!board->session) {
        return TW_NO_SESSION;
    }
    if (!TW_HAS_DISPLAY) {
        return TW_NO_ABILITY;
    }
    tw_display_show(&board->display, row, text);
    return TW_OK;
}

/* SPEC.md section 5: another version opens nothing, the open session's nonce is a repetition. */
static void open_session(struct tw_board *board, const struct tw_request *request, uint32_t now_ms)
{
    uint16_t nonce = (uint16_t)request->field[TW_HELLO_NONCE];
    bool repeated = board->session && nonce == board->nonce;
    if (request->field[TW_HELLO_PROTOCOL] != (int32_t)TW_PROTOCOL || repeated) {
        return;
    }
    board->session = true;
    board->nonce = nonce;
    tw_answers_forget(&board->answers);
    tw_display_restart(&board->display, 0, now_ms);
    tw_board_stop(board, TW_STOPPED_SESSION, now_ms);
}

/* Each request with the reasons that refuse it, in their order; then what it does. */
static enum tw_reason carry_out(struct tw_board *board, const struct tw_request *request, uint32_t now_ms)
{
    const int32_t *field = request->field;
    struct tw_outputs *outputs = &board->outputs;
    switch ((enum tw_verb)request->verb) {
    case TW_HELLO:
        open_session(board, request, now_ms);
        return TW_OK;
    case TW_RUN:
        return run(board, request, now_ms);
    case TW_KEEP:
        if (field[TW_KEEP_LEASE_MS] > (int32_t)TW_LONGEST_LEASE_MS) {
            return TW_NO_RANGE;
        }
        if (!board->session) {
            return TW_NO_SESSION;
        }
        tw_outputs_keep(outputs, (uint8_t)field[TW_KEEP_RUN], (uint16_t)field[TW_KEEP_LEASE_MS], now_ms);
        return TW_OK;
    case TW_STOP:
        if (field[TW_STOP_CHANNEL] > TW_CHANNELS) {
            return TW_NO_CHANNEL;
        }
        if (field[TW_STOP_CHANNEL] == 0 || field[TW_STOP_CHANNEL] == outputs->run.channel) {
            tw_board_stop(board, TW_STOPPED_HOST, now_ms);
        }
        return TW_OK;
    case TW_ESTOP:
        outputs->latched = true;
        tw_board_stop(board, TW_STOPPED_ESTOP, now_ms);
        return TW_OK;
    case TW_CLEAR:
        if (!board->session) {
            return TW_NO_SESSION;
        }
        outputs->latched = false;
        return TW_OK;
    case TW_SHOW:
        return show(board, (uint8_t)field[TW_SHOW_LINE], request->text);
    case TW_STATE:
    case TW_STATS:
    case TW_LIMITS:
    case TW_CHECK:
    case TW_VERBS:
        break; /* no default: the compiler tells of a request that is left out */
    }
    return board->session ? TW_OK : TW_NO_SESSION;
}

static void answer_hello(const struct tw_board *board, uint8_t seq, struct tw_line *answer)
{
    struct tw_identity identity = {
        .firmware = FIRMWARE,
        .board_id = BOARD_ID,
        .full_scale_counts = (uint32_t)TW_COUNTS_MAX,
        .sample_rate_tenths = TW_SAMPLE_RATE_TENTHS,
        .filter_delay_ms = TW_FILTER_DELAY_MS,
        .protocol = TW_PROTOCOL,
        .channels = TW_CHANNELS,
        .columns = TW_DISPLAY_COLUMNS,
        .rows = TW_DISPLAY_ROWS,
        .reverse = TW_REVERSE,
        .variable_speed = TW_VARIABLE_SPEED,
        .knob = TW_KNOB,
        .interlock = TW_INTERLOCK,
        .supply_sense = TW_SUPPLY_SENSE,
        .cause = board->boot.cause,
    };
    tw_say_identity(answer, seq, &identity);
}

static void answer_state(const struct tw_board *board, uint8_t seq, struct tw_line *answer)
{
    const struct tw_outputs *outputs = &board->outputs;
    tw_say(answer, seq, TW_SAY_STATE,
           (const uint32_t[]){tw_outputs_mask(outputs), outputs->latched, outputs->last_run, outputs->last_channel,
                              outputs->last_cause, board->next_event});
}

static void answer_stats(const struct tw_counters *counters, uint8_t seq, struct tw_line *answer)
{
    tw_say(answer, seq, TW_SAY_STATS,
           (const uint32_t[]){counters->frames, counters->bad_crc, counters->overlong, counters->overruns,
                              counters->lost, counters->late, counters->saturated});
}

static void answer_limits(uint8_t seq, struct tw_line *answer)
{
    tw_say(answer, seq, TW_SAY_LIMITS,
           (const uint32_t[]){TW_LONGEST_LEASE_MS, TW_LONGEST_RUN_MS, (uint32_t)TW_LOWEST_COUNTS,
                              (uint32_t)TW_HIGHEST_COUNTS});
}

static void answer_check(const struct tw_boot *boot, uint8_t seq, struct tw_line *answer)
{
    tw_say(answer, seq, TW_SAY_CHECK,
           (const uint32_t[]){boot->flash, boot->flash_crc, boot->ram, tw_build_settings()});
}

static void answer_done(const struct tw_board *board, const struct tw_request *request, struct tw_line *answer)
{
    switch (request->verb) {
    case TW_HELLO:
        answer_hello(board, request->seq, answer);
        break;
    case TW_STATE:
        answer_state(board, request->seq, answer);
        break;
    case TW_STATS:
        answer_stats(&board->counters, request->seq, answer);
        break;
    case TW_LIMITS:
        answer_limits(request->seq, answer);
        break;
    case TW_CHECK:
        answer_check(&board->boot, request->seq, answer);
        break;
    default:
        tw_say_plain(answer, request->seq, TW_OK);
        break;
    }
}

bool tw_serve(struct tw_board *board, const char *body, uint16_t crc, uint32_t now_ms, struct tw_line *answer)
{
    struct tw_request request;
    enum tw_reason reason;
    if (!tw_request_read(body, &request, &reason)) {
        return false;
    }
    tw_count(&board->counters.frames, 1);
    if (tw_answers_find(&board->answers, request.seq, crc, &reason)) {
        tw_say_plain(answer, request.seq, reason);
        return true;
    }
    bool misspelt = reason != TW_OK;
    if (!misspelt) {
        reason = carry_out(board, &request, now_ms);
    }
    if (reason == TW_OK) {
        answer_done(board, &request, answer);
    } else {
        tw_say_plain(answer, request.seq, reason);
    }
    if (misspelt || !tw_request_asks(request.verb)) {
        tw_answers_keep(&board->answers, request.seq, crc, reason);
    }
    return true;
}
