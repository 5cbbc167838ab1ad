/* Feeds a board whatever libFuzzer thinks of, time and conversions included, and aborts when a promise is broken.
 *
 * The input is a list of moves: a letter and its arguments. `F body LF` a good frame with that body, `B n bytes` raw
 * bytes, `T n` n milliseconds, `C a b c` a conversion, `P x` the button and `K x` the knob as told to the board, `Q x`
 * the levels of their contacts, `I x` the interlock, `S x` the pump supply, `O` what waits to be sent is sent. Any other letter is skipped, so that seeds can be
 * written as text.
 */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "../src/portable/board.h"
#include "../src/portable/crc.h"
#include "../src/portable/knob.h"
#include "../src/portable/line.h"

#define PROMISE(what)                                                                                        \
    do {                                                                                                     \
        if (!(what)) {                                                                                       \
            fprintf(stderr, "broken promise, line %d: %s\n", __LINE__, #what);                               \
            abort();                                                                                         \
        }                                                                                                    \
    } while (0)

struct input {
    const uint8_t *at;
    size_t left;
};

struct watch {
    uint32_t now_ms;
    uint32_t heard_ms;     /* last good frame: nothing else can have renewed a lease */
    uint32_t converted_ms; /* last conversion */
    uint8_t line[TW_BOARD_LINE_MAX];
    uint8_t length;
    struct tw_knob knob;
    struct tw_button button;
};

static uint8_t next(struct input *input)
{
    if (input->left == 0U) {
        return 0;
    }
    input->left--;
    return *input->at++;
}

/* Each line is a frame of its own: printable, an asterisk, the right CRC, 96 bytes at most. */
static void check_line(const uint8_t *line, uint8_t length)
{
    static const char digits[] = "0123456789ABCDEF";
    uint16_t crc = TW_CRC_START;
    PROMISE(length >= 6U);
    PROMISE(line[0] == '#' || line[0] == '<' || line[0] == '!');
    for (uint8_t i = 0; i < length - 5U; i++) {
        PROMISE(line[i] >= 0x20 && line[i] <= 0x7E && line[i] != '*');
        crc = tw_crc_add(crc, line[i]);
    }
    PROMISE(line[length - 5U] == '*');
    for (uint8_t i = 0; i < 4U; i++) {
        PROMISE(line[length - 4U + i] == digits[(crc >> (12U - 4U * i)) & 0x0FU]);
    }
}

static void take_output(struct tw_board *board, struct watch *watch)
{
    uint8_t byte;
    while (tw_ring_take(&board->out, &byte)) {
        if (byte == '\n') {
            check_line(watch->line, watch->length);
            watch->length = 0;
        } else {
            PROMISE(watch->length < TW_BOARD_LINE_MAX - 1U);
            watch->line[watch->length++] = byte;
        }
    }
}

static void check_board(const struct tw_board *board, const struct watch *watch)
{
    const struct tw_run *run = &board->outputs.run;
    uint8_t mask = tw_outputs_mask(&board->outputs);
    PROMISE((mask & (mask - 1U)) == 0U);
    PROMISE(run->channel <= TW_CHANNELS);
    PROMISE(board->frame.length < TW_HOST_LINE_MAX);
    PROMISE(board->answers.count <= TW_ANSWERS_KEPT);
    if (run->channel == 0U) {
        PROMISE(tw_outputs_left_ms(&board->outputs, &board->cell, watch->now_ms) == 0U);
        return;
    }
    PROMISE(board->session);
    PROMISE(!board->outputs.latched && !board->outputs.interlock_open && !board->outputs.supply_off);
    PROMISE(run->speed >= 1U);
    PROMISE(watch->now_ms - watch->heard_ms < TW_LONGEST_LEASE_MS);
    PROMISE(watch->now_ms - watch->converted_ms < TW_ADC_GUARD_MS);
    PROMISE(board->cell.counts >= TW_LOWEST_COUNTS && board->cell.counts <= TW_HIGHEST_COUNTS);
    PROMISE(run->ceiling_above ? board->cell.counts < run->ceiling_counts
                               : board->cell.counts > run->ceiling_counts);
    PROMISE(watch->now_ms - board->outputs.asked_ms < TW_LONGEST_RUN_MS);
    PROMISE(tw_outputs_left_ms(&board->outputs, &board->cell, watch->now_ms) > 0U);
}

static void receive(struct tw_board *board, struct watch *watch, uint8_t byte)
{
    uint16_t frames = board->counters.frames;
    tw_board_byte(board, byte, watch->now_ms);
    if (board->counters.frames != frames) {
        watch->heard_ms = watch->now_ms;
    }
    check_board(board, watch);
}

static void receive_raw(struct tw_board *board, struct watch *watch, struct input *input)
{
    for (uint8_t count = next(input); count > 0U && input->left > 0U; count--) {
        receive(board, watch, next(input));
    }
}

static void receive_frame(struct tw_board *board, struct watch *watch, struct input *input)
{
    static const char digits[] = "0123456789ABCDEF";
    uint16_t crc = TW_CRC_START;
    for (uint8_t byte; input->left > 0U && (byte = next(input)) != '\n';) {
        crc = tw_crc_add(crc, byte);
        receive(board, watch, byte);
    }
    receive(board, watch, '*');
    for (uint8_t i = 0; i < 4U; i++) {
        receive(board, watch, (uint8_t)digits[(crc >> (12U - 4U * i)) & 0x0FU]);
    }
    receive(board, watch, '\n');
}

static void pass_time(struct tw_board *board, struct watch *watch, uint8_t ms)
{
    uint8_t byte;
    for (; ms > 0U; ms--) {
        watch->now_ms++;
        tw_board_tick(board, watch->now_ms);
        tw_display_next(&board->display, watch->now_ms, &byte);
        check_board(board, watch);
    }
}

static void convert(struct tw_board *board, struct watch *watch, struct input *input)
{
    uint32_t code = next(input);
    code = code << 8 | next(input);
    code = code << 8 | next(input);
    watch->converted_ms = watch->now_ms;
    tw_board_convert(board, tw_loadcell_counts(code), watch->now_ms);
    check_board(board, watch);
}

static void sample_panel(struct tw_board *board, struct watch *watch, uint8_t levels)
{
    tw_knob_sample(&watch->knob, levels & 1U, levels & 2U);
    if (tw_button_sample(&watch->button, levels & 4U)) {
        PROMISE(watch->button.history == (watch->button.down ? 0xFFU : 0U));
        tw_board_press(board, watch->button.down, watch->now_ms);
    }
    int8_t steps = tw_knob_take(&watch->knob, watch->now_ms);
    PROMISE(steps >= -127);
    tw_board_turn(board, steps, watch->now_ms);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct input input = {data, size};
    struct watch watch = {.now_ms = 0xFFFFFF00U}; /* the clock wraps on the way */
    static struct tw_board board;
    tw_knob_init(&watch.knob);
    tw_button_init(&watch.button);
    const struct tw_boot boot = {.cause = TW_RESET_POWER};
    tw_board_init(&board, &boot, watch.now_ms);
    uint8_t first = 0;
    PROMISE(tw_ring_take(&board.out, &first) && first == '\n'); /* the empty line before the boot event */
    while (input.left > 0U) {
        switch (next(&input)) {
        case 'B':
            receive_raw(&board, &watch, &input);
            break;
        case 'F':
            receive_frame(&board, &watch, &input);
            break;
        case 'T':
            pass_time(&board, &watch, next(&input));
            break;
        case 'C':
            convert(&board, &watch, &input);
            break;
        case 'P':
            tw_board_press(&board, next(&input) & 1U, watch.now_ms);
            break;
        case 'K':
            tw_board_turn(&board, (int8_t)next(&input), watch.now_ms);
            break;
        case 'Q':
            sample_panel(&board, &watch, next(&input));
            break;
        case 'I':
            tw_board_interlock(&board, next(&input) & 1U, watch.now_ms);
            break;
        case 'S':
            tw_board_supply(&board, next(&input) & 1U, watch.now_ms);
            break;
        case 'O':
            take_output(&board, &watch);
            break;
        default:
            break;
        }
    }
    take_output(&board, &watch);
    return 0;
}
