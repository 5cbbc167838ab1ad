/* Full bridges: an inhibited speed line stops all of them; otherwise each turns by its two direction inputs.
 * Channels 1 to 4 hang on the chip, 5 to 8 on a 74HC595 with both clocks tied, whose storage is one clock behind.
 * The duty is computed from the timer's registers. libsimavr's pin edges of a PWM output are unreliable and change
 * the port's register; as long as the timer interrupts nobody, they are left out.
 */

#include <string.h>

#include "avr_timer.h"
#include "board.h"
#include "sim_cycle_timers.h"

#define TIMSK2 0x70
#define TCCR2A 0xB0
#define TCCR2B 0xB1
#define OCR2A 0xB3
#define OCR2B 0xB4
#define SHIFT_AFTER_POWER_UP 0x55 /* arbitrary on the part; here the worst: all forward */

static const int FORWARD[] = {PIN_FORWARD_1, PIN_FORWARD_2, PIN_FORWARD_3, PIN_FORWARD_4};
static const int REVERSE[] = {PIN_REVERSE_1, PIN_REVERSE_2, PIN_REVERSE_3, PIN_REVERSE_4};
#define DIRECT (int)(sizeof FORWARD / sizeof FORWARD[0])

/* Share of time for which the speed line, OC2B, is high. */
static double duty(const struct board *board)
{
    const uint8_t *data = board->avr->data;
    const avr_ioport_t *port = board->port[PIN_SPEED / 8];
    int compare = data[TCCR2A] >> 4 & 3;
    int mode = (data[TCCR2A] & 3) | (data[TCCR2B] >> 1 & 4);
    int top = mode == 7 ? data[OCR2A] : 255;
    if (board->faults.speed_held)
        return 1.0;
    if (!(data[port->r_ddr] >> PIN_SPEED % 8 & 1))
        return 0.0; /* an input: pulled down */
    if (compare == 0)
        return level(board, PIN_SPEED);
    if ((mode != 3 && mode != 7) || compare == 1 || !(data[TCCR2B] & 7))
        return 1.0; /* a timer that stands, or another mode, may leave the line high for good */
    double share = data[OCR2B] >= top ? 1.0 : (data[OCR2B] + 1.0) / (top + 1.0); /* fast PWM */
    return compare == 2 ? share : 1.0 - share;
}

static double direction(const struct board *board, int channel)
{
    int forward, reverse;
    if (channel < DIRECT) {
        forward = level(board, FORWARD[channel]);
        reverse = level(board, REVERSE[channel]);
    } else {
        forward = board->shift_outputs >> 2 * (channel - DIRECT) & 1;
        reverse = board->shift_outputs >> (2 * (channel - DIRECT) + 1) & 1;
    }
    return forward - reverse; /* both: the motor is shorted */
}

static void shift(struct board *board)
{
    board->shift_outputs = board->shift_stages;
    board->shift_stages = (uint8_t)(board->shift_stages << 1 | level(board, PIN_SHIFT_DATA));
}

/* Who holds the bus's data line lets go after so many clocks. */
static void bus_clock(struct board *board)
{
    const avr_ioport_t *port = board->port[PIN_DISPLAY_SCL / 8];
    uint8_t mask = 1 << PIN_DISPLAY_SCL % 8;
    int high = !(board->avr->data[port->r_ddr] & mask) || (board->avr->data[port->r_port] & mask);
    if (high && !board->faults.bus_scl && board->faults.bus_clocks)
        board->faults.bus_clocks--;
    board->faults.bus_scl = high;
}

void outputs_changed(struct board *board)
{
    int clock = level(board, PIN_SHIFT_CLOCK);
    if (clock && !board->shift_clock)
        shift(board);
    board->shift_clock = clock;
    bus_clock(board);
    double share = duty(board), drive[CHANNELS];
    for (int channel = 0; channel < CHANNELS; channel++)
        drive[channel] = share > 0.0 ? share * direction(board, channel) : 0.0;
    if (memcmp(drive, board->drive, sizeof drive)) {
        memcpy(board->drive, drive, sizeof drive);
        stop_soon(board);
    }
}

static void timer_written(struct board *board)
{
    avr_t *avr = board->avr;
    outputs_changed(board);
    if (avr->data[TIMSK2])
        return;
    avr_cycle_timer_slot_p slot = avr->cycle_timers.timer;
    while (slot) {
        avr_cycle_timer_slot_p next = slot->next;
        if (slot->param == board->timer2)
            avr_cycle_timer_cancel(avr, slot->timer, slot->param);
        slot = next;
    }
}

void outputs_attach(struct board *board)
{
    after_write(board, TCCR2A, timer_written);
    after_write(board, TCCR2B, timer_written);
    after_write(board, OCR2A, timer_written);
    after_write(board, OCR2B, timer_written);
}

void outputs_power_on(struct board *board)
{
    board->shift_stages = board->shift_outputs = SHIFT_AFTER_POWER_UP;
    outputs_changed(board);
}

/* So many edges that nobody sent reach the register's clocks. */
void tw_spurious_clocks(struct board *board, int edges)
{
    while (edges-- > 0)
        shift(board);
    outputs_changed(board);
}

const double *tw_drives(const struct board *board) { return board->drive; }
