/* The load-cell ADC on its two wires. 25 pulses read a conversion, 26 and 27 choose another gain; a clock that
 * stays high for 60 us powers the part down, and four conversions are needed to settle afterwards (HX711 data
 * sheet). What the data sheet leaves open is assumed: a conversion that ends while one is being read is lost, and
 * one that was not read is replaced without an edge on the data pin.
 */

#include "board.h"

#define POWER_DOWN_CYCLES (60 * 16)
#define STALE_CYCLES (1000 * 16) /* a read that stands still for so long is given up by the next conversion */
#define SETTLING 4
#define PULSES 25

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
    if (board->pulses < PULSES)
        drive_input(board, PIN_ADC_DATA, board->value >> (PULSES - 1 - board->pulses) & 1);
    else if (board->pulses == PULSES) {
        drive_input(board, PIN_ADC_DATA, 1);
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
        drive_input(board, PIN_ADC_DATA, 1);
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
    if (powered_down(board))
        return;
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
    drive_input(board, PIN_ADC_DATA, 0);
}
