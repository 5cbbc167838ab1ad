/* The emergency stop in a byte of EEPROM, so that it outlives every reset and the loss of power.
 *
 * Only erased, 0xFF, is released: a write cut short by a failing supply leaves a stop behind, never its absence. To
 * latch is to program, to release is to erase, 1.8 ms each and half of the wear; the cell is good for 100 000 of both
 * (data sheet). That is 20 stops on every evening of 13 years.
 */
#include <avr/io.h>
#include <util/atomic.h>

#include "../board_hal.h"
#include "internal.h"

#define CELL 0x20U /* not the first one, which some programs of other people use */
#define RELEASED 0xFFU
#define LATCHED 0x00U

static bool kept;

bool latch_kept(void)
{
    while (EECR & _BV(EEPE)) {
    }
    EEAR = CELL;
    EECR = _BV(EERE);
    kept = EEDR != RELEASED;
    return kept;
}

void hal_keep_latch(bool latched)
{
    if (latched == kept || (EECR & _BV(EEPE)) != 0U) {
        return;
    }
    EEAR = CELL;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) /* four cycles at most between the last two */
    {
        EEDR = latched ? LATCHED : RELEASED;
        EECR = latched ? _BV(EEPM1) : _BV(EEPM0); /* program only, or erase only */
        EECR |= _BV(EEMPE);
        EECR |= _BV(EEPE);
    }
    kept = latched;
}
