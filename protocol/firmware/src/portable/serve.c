#include "serve.h"

#include "messages.h"

static const TW_FLASH char FIRMWARE[] = TW_FIRMWARE;
static const TW_FLASH char BOARD_ID[] = TW_BOARD_ID;

/* `hello` changes nothing when repeated and is how a session begins; the others only ask. */
static bool remembered(const struct tw_request *request)
{
    return request->verb != TW_HELLO && request->verb != TW_STATE && request->verb != TW_STATS &&
           request->verb != TW_LIMITS;
}

static enum tw_reason refuse_show(uint8_t row, bool session)
{
    if (TW_HAS_DISPLAY && row + 1 > TW_DISPLAY_ROWS) {
        return TW_NO_RANGE;
    }
    if (!session) {
        return TW_NO_SESSION;
    }
    return TW_HAS_DISPLAY ? TW_OK : TW_NO_ABILITY;
}

static enum tw_reason refuse(const struct tw_board *board, const struct tw_request *request)
{
    switch (request->verb) {
    case TW_HELLO:
    case TW_ESTOP:
        return TW_OK;
    case TW_STOP:
        return request->as.stop_channel > TW_CHANNELS ? TW_NO_CHANNEL : TW_OK;
    case TW_RUN:
        return tw_outputs_refuse(&board->outputs, &request->as.run, &board->cell, board->session);
    case TW_KEEP:
        if (request->as.keep_lease_ms > TW_LONGEST_LEASE_MS) {
            return TW_NO_RANGE;
        }
        break;
    case TW_SHOW:
        return refuse_show(request->as.show.line, board->session);
    default:
        break;
    }
    return board->session ? TW_OK : TW_NO_SESSION;
}

/* SPEC.md section 5: another version opens nothing, the open session's nonce is a repetition. */
static void open_session(struct tw_board *board, const struct tw_request *request, uint32_t now_ms)
{
    bool repeated = board->session && request->as.hello.nonce == board->nonce;
    if (request->as.hello.protocol != TW_PROTOCOL || repeated) {
        return;
    }
    board->session = true;
    board->nonce = request->as.hello.nonce;
    tw_answers_forget(&board->answers);
    tw_display_restart(&board->display, 0, now_ms);
    tw_board_stop(board, TW_STOPPED_SESSION, now_ms);
}

static void carry_out(struct tw_board *board, const struct tw_request *request, uint32_t now_ms)
{
    struct tw_outputs *outputs = &board->outputs;
    switch (request->verb) {
    case TW_HELLO:
        open_session(board, request, now_ms);
        break;
    case TW_RUN:
        tw_outputs_run(outputs, &request->as.run, now_ms);
        break;
    case TW_KEEP:
        tw_outputs_keep(outputs, request->as.keep_lease_ms, now_ms);
        break;
    case TW_STOP:
        if (request->as.stop_channel == 0U || request->as.stop_channel == outputs->run.channel) {
            tw_board_stop(board, TW_STOPPED_HOST, now_ms);
        }
        break;
    case TW_ESTOP:
        outputs->latched = true;
        tw_board_stop(board, TW_STOPPED_ESTOP, now_ms);
        break;
    case TW_CLEAR:
        outputs->latched = false;
        break;
    case TW_SHOW:
        tw_display_show(&board->display, request->as.show.line, request->as.show.text);
        break;
    default:
        break;
    }
}

static void answer_hello(const struct tw_board *board, uint8_t seq, struct tw_line *answer)
{
    struct tw_identity identity = {
        .firmware = FIRMWARE,
        .board_id = BOARD_ID,
        .full_scale_counts = (uint32_t)TW_COUNTS_MAX,
        .sample_rate_hz = TW_SAMPLE_RATE_HZ,
        .protocol = TW_PROTOCOL,
        .channels = TW_CHANNELS,
        .columns = TW_DISPLAY_COLUMNS,
        .rows = TW_DISPLAY_ROWS,
        .reverse = TW_REVERSE,
        .variable_speed = TW_VARIABLE_SPEED,
        .knob = TW_KNOB,
        .cause = board->cause,
    };
    tw_say_identity(answer, seq, &identity);
}

static void answer_state(const struct tw_board *board, uint8_t seq, struct tw_line *answer)
{
    const struct tw_outputs *outputs = &board->outputs;
    struct tw_state state = {tw_outputs_mask(outputs), outputs->latched, outputs->last_channel,
                             outputs->last_cause, board->next_event};
    tw_say_state(answer, seq, &state);
}

static void answer_limits(uint8_t seq, struct tw_line *answer)
{
    struct tw_limits limits = {.run_ms = TW_LONGEST_RUN_MS,
                               .lowest_counts = TW_LOWEST_COUNTS,
                               .highest_counts = TW_HIGHEST_COUNTS,
                               .lease_ms = TW_LONGEST_LEASE_MS};
    tw_say_limits(answer, seq, &limits);
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
        tw_say_stats(answer, request->seq, &board->counters);
        break;
    case TW_LIMITS:
        answer_limits(request->seq, answer);
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
        reason = refuse(board, &request);
    }
    if (reason == TW_OK) {
        carry_out(board, &request, now_ms);
        answer_done(board, &request, answer);
    } else {
        tw_say_plain(answer, request.seq, reason);
    }
    if (misspelt || remembered(&request)) {
        tw_answers_keep(&board->answers, request.seq, crc, reason);
    }
    return true;
}
