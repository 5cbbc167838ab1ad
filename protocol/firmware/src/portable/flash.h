/* Constants that stay in flash: an AVR copies any other constant to its 2 KB of RAM at start. */
#ifndef TAREWELL_FLASH_H
#define TAREWELL_FLASH_H

#ifdef __AVR__
#define TW_FLASH __flash
#else
#define TW_FLASH
#endif

#endif
