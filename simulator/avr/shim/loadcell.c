/* The load-cell ADC on its two wires. 25 pulses read a conversion, 26 and 27 choose another gain; a clock that
 * stays high for 60 us powers the part down, and four conversions are needed to settle afterwards (HX711 data
 * sheet). What the data sheet leaves open is assumed: a conversion that ends while one is being read is lost, and
 * one that was not read is replaced without an edge on the data pin.
 */

#include "board.h"
#include "sim_cycle_timers.h"

#define POWER_DOWN_CYCLES (60 * 16)
#define STALE_CYCLES (1000 * 16) /* a read that stands still for so long is given up by the next conversion */
#define SETTLING 4
#define PULSES 25

/* What stands at the chip's pin: the ADC's level, or what a wire that is shorted or open makes of it. An open one has
 * the level of the pull-up, if there is one that is stronger than the hum. */
static void data_line(struct board *board, int high)
{
    const struct faults *faults = &board->faults;
    if (faults->open_data) {
        const avr_ioport_t *port = board->port[PIN_ADC_DATA / 8];
        const uint8_t *data = board->avr->data;
        int pulled_up = data[port->r_port] & ~data[port->r_ddr] & 1 << PIN_ADC_DATA % 8;
        high = pulled_up && !faults->stiff_hum ? 1 : faults->hum;
    } else if (faults->shorted)
        high = 0;
    drive_input(board, PIN_ADC_DATA, high);
}

static avr_cycle_count_t hum(struct avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    (void)avr;
    board->faults.hum = !board->faults.hum;
    data_line(board, 1);
    return when + board->faults.hum_cycles[board->faults.hum];
}

/* The data wire is off, and picks up hum that is high and low for so long; 0 puts it back. Stiff hum is stronger than
 * the chip's pull-up. */
void tw_open_data(struct board *board, uint64_t high_cycles, uint64_t low_cycles, uint64_t first_cycles, int stiff)
{
    board->faults.open_data = high_cycles > 0;
    board->faults.hum_cycles[0] = low_cycles;
    board->faults.hum_cycles[1] = high_cycles;
    board->faults.stiff_hum = stiff;
    avr_cycle_timer_cancel(board->avr, hum, board);
    if (high_cycles)
        avr_cycle_timer_register(board->avr, first_cycles, hum, board);
    board->ready = board->pulses = 0;
    data_line(board, 1);
}

/* In the next read the data wire touches ground after so many pulses, until the ADC has its next conversion. */
void tw_short_data(struct board *board, int pulses) { board->faults.short_after = pulses; }

void loadcell_reset(struct board *board)
{
    if (board->faults.open_data)
        avr_cycle_timer_register(board->avr, board->faults.hum_cycles[1], hum, board);
}

static int powered_down(const struct board *board)
{
    return board->clock && board->avr->cycle - board->clock_rose > POWER_DOWN_CYCLES;
}

static void rises(struct board *board)
{
    board->clock_rose = board->avr->cycle;
    if (!board->ready && board->pulses == 0) {
        board->figures.stray++;
        return;
    }
    board->pulses++;
    if (board->faults.short_after && board->pulses > board->faults.short_after) {
        board->faults.shorted = 1;
        board->faults.short_after = 0;
    }
    if (board->pulses < PULSES)
        data_line(board, board->value >> (PULSES - 1 - board->pulses) & 1);
    else if (board->pulses == PULSES) {
        data_line(board, 1);
        board->ready = 0;
        board->figures.reads++;
    }
}

static void falls(struct board *board)
{
    uint64_t high = board->avr->cycle - board->clock_rose;
    if (high > board->figures.longest_high)
        board->figures.longest_high = high;
    if (high > POWER_DOWN_CYCLES) {
        board->figures.power_downs++;
        board->ready = board->pulses = 0;
        board->settling = SETTLING;
        data_line(board, 1);
    }
}

static void clock_written(struct board *board)
{
    int clock = level(board, PIN_ADC_CLOCK);
    if (clock == board->clock)
        return;
    if (clock)
        rises(board);
    else
        falls(board);
    board->clock = clock;
    board->clock_moved = board->avr->cycle;
}

void loadcell_attach(struct board *board)
{
    avr_ioport_t *port = board->port[PIN_ADC_CLOCK / 8];
    after_write(board, port->r_port, clock_written);
    after_write(board, port->r_ddr, clock_written);
    after_write(board, port->r_pin, clock_written);
    drive_input(board, PIN_ADC_DATA, 1);
}

/* A conversion has ended with this code. */
void tw_convert(struct board *board, int32_t counts)
{
    int reading = board->pulses > 0 && board->pulses < PULSES;
    board->figures.conversions++;
    if (powered_down(board) || board->faults.open_data)
        return;
    board->faults.shorted = 0;
    if (reading && board->avr->cycle - board->clock_moved < STALE_CYCLES) {
        board->figures.collisions++;
        return;
    }
    if (board->pulses > PULSES) {
        board->figures.gain_changes++;
        board->settling = SETTLING;
    }
    board->figures.broken += reading;
    board->pulses = 0;
    if (board->settling) {
        board->settling--;
        return;
    }
    board->figures.unread += board->ready;
    board->value = counts;
    board->ready = 1;
    data_line(board, 0);
}
