/* CRC-16/IBM-3740 (CCITT-FALSE): polynomial 0x1021, start 0xFFFF, no reflection, no final xor. */
#ifndef TAREWELL_CRC_H
#define TAREWELL_CRC_H

#include <stdint.h>

#define TW_CRC_START 0xFFFFU

uint16_t tw_crc_add(uint16_t crc, uint8_t byte);

#endif
