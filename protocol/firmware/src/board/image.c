#include <avr/pgmspace.h>

#include "../portable/crc.h"
#include "internal.h"

#define NOT_STAMPED 0xFFFFU

/* The CRC of the image with this place left out; stamp.sh writes it after linking. A sketch has none. */
static const uint16_t stamp PROGMEM __attribute__((used, section(".progmem.stamp"))) = NOT_STAMPED;

extern const uint8_t __data_load_end[]; /* by the linker: where the image ends */

static uint16_t add(uint16_t crc, uint16_t from, uint16_t to)
{
    for (uint16_t address = from; address < to; address++) {
        crc = tw_crc_add(crc, pgm_read_byte(address));
    }
    return crc;
}

enum tw_verdict image_verdict(uint16_t *crc)
{
    uint16_t place = (uint16_t)(uintptr_t)&stamp;
    uint16_t expected = pgm_read_word(place);
    *crc = add(TW_CRC_START, 0, place);
    *crc = add(*crc, (uint16_t)(place + sizeof stamp), (uint16_t)(uintptr_t)__data_load_end);
    if (expected == NOT_STAMPED) {
        return TW_VERDICT_UNTESTED;
    }
    return *crc == expected ? TW_VERDICT_OK : TW_VERDICT_BAD;
}
