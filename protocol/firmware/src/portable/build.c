#include "build.h"

#include "../../config.h"
#include "crc.h"
#include "flash.h"

static const TW_FLASH char BOARD_ID[] = TW_BOARD_ID;

/* A new setting of config.h goes here too. */
static const TW_FLASH int32_t SETTINGS[] = {
    TW_BAUD,
    TW_CHANNELS,
    TW_REVERSE,
    TW_VARIABLE_SPEED,
    TW_KNOB,
    TW_INTERLOCK,
    TW_SUPPLY_SENSE,
    TW_SUPPLY_LEAST,
    TW_DISPLAY_COLUMNS,
    TW_DISPLAY_ROWS,
    TW_DISPLAY_ADDRESS,
    TW_SAMPLE_RATE_TENTHS,
    TW_FILTER_DELAY_MS,
    TW_LONGEST_LEASE_MS,
    TW_LONGEST_RUN_MS,
    TW_LOWEST_COUNTS,
    TW_HIGHEST_COUNTS,
    TW_SOFT_START_MS,
    TW_PWM_HZ,
};

uint16_t tw_build_settings(void)
{
    uint16_t crc = TW_CRC_START;
    for (uint8_t i = 0; i < sizeof BOARD_ID - 1U; i++) {
        crc = tw_crc_add(crc, (uint8_t)BOARD_ID[i]);
    }
    for (uint8_t i = 0; i < sizeof SETTINGS / sizeof SETTINGS[0]; i++) {
        uint32_t value = (uint32_t)SETTINGS[i];
        for (uint8_t byte = 0; byte < 4U; byte++) {
            crc = tw_crc_add(crc, (uint8_t)value);
            value >>= 8;
        }
    }
    return crc;
}
