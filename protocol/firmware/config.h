/* What may differ from one machine to the next. Each value can be set from outside with -DNAME=value. */
#ifndef TAREWELL_CONFIG_H
#define TAREWELL_CONFIG_H

#define TW_FIRMWARE "0.2.0"

/* Line rate: 115200UL or 250000UL. A 16 MHz chip makes 117647 of the first and hits the second exactly. */
#ifndef TW_BAUD
#define TW_BAUD 115200UL
#endif

/* 1 to 16 characters of A-Z a-z 0-9 . _ - */
#ifndef TW_BOARD_ID
#define TW_BOARD_ID "foyer-01"
#endif

#ifndef TW_CHANNELS
#define TW_CHANNELS 8
#endif

/* Abilities that the hardware has: 1 or 0. */
#ifndef TW_REVERSE
#define TW_REVERSE 1
#endif
#ifndef TW_VARIABLE_SPEED
#define TW_VARIABLE_SPEED 1
#endif
#ifndef TW_KNOB
#define TW_KNOB 1
#endif
/* Optional inputs: an interlock (door, tray, glass switch), and the pump supply's voltage. */
#ifndef TW_INTERLOCK
#define TW_INTERLOCK 0
#endif
#ifndef TW_SUPPLY_SENSE
#define TW_SUPPLY_SENSE 0
#endif

/* What the supply's divider gives at least while the supply is on, in 1/1024 of 5 V: 333 is 7 V with 33 kOhm and
 * 10 kOhm. */
#ifndef TW_SUPPLY_LEAST
#define TW_SUPPLY_LEAST 333U
#endif

/* 16 and 2, or 20 and 4; rows 0 where there is no display. Address of its I2C expander, 7 bits. */
#ifndef TW_DISPLAY_COLUMNS
#define TW_DISPLAY_COLUMNS 20
#endif
#ifndef TW_DISPLAY_ROWS
#define TW_DISPLAY_ROWS 4
#endif
#ifndef TW_DISPLAY_ADDRESS
#define TW_DISPLAY_ADDRESS 0x27
#endif

/* What the rate pin of the load-cell ADC is wired for, in tenths of a hertz: 800 (or 100, too slow to pour well). */
#ifndef TW_SAMPLE_RATE_TENTHS
#define TW_SAMPLE_RATE_TENTHS 800
#endif
/* How far a reading lies behind the load, ms; 0 where nobody knows. Half of the ADC's settling time of four
 * conversions (data sheet): a symmetric filter delays by half of its length. */
#ifndef TW_FILTER_DELAY_MS
#define TW_FILTER_DELAY_MS (20000 / TW_SAMPLE_RATE_TENTHS)
#endif

/* The board's own limits, SPEC.md sections 3 and 7. */
#ifndef TW_LONGEST_LEASE_MS
#define TW_LONGEST_LEASE_MS 470U
#endif
#ifndef TW_LONGEST_RUN_MS
#define TW_LONGEST_RUN_MS 120000UL
#endif
/* Raw readings between which a pump may run: a cell that is unplugged or overloaded lies outside. */
#ifndef TW_LOWEST_COUNTS
#define TW_LOWEST_COUNTS (-400000L)
#endif
#ifndef TW_HIGHEST_COUNTS
#define TW_HIGHEST_COUNTS 2400000L
#endif

/* Pulses of the speed line, Hz: 61, 244, 488, 976, 1953 or 7812. In a pulse the motor's current has to reach most of its
 * final value, or the pump stands at low speeds; see docs/build/power.md. */
#ifndef TW_PWM_HZ
#define TW_PWM_HZ 244
#endif

/* Time in which a starting pump is brought from standstill to its speed, 0 to 100 ms. Helps a supply that dips when
 * a motor starts; 0, the default, gives the dosing the shortest start. */
#ifndef TW_SOFT_START_MS
#define TW_SOFT_START_MS 0
#endif

#define TW_HAS_DISPLAY (TW_DISPLAY_ROWS > 0)

_Static_assert(TW_BAUD == 115200UL || TW_BAUD == 250000UL, "TW_BAUD is 115200UL or 250000UL");
_Static_assert(sizeof(TW_FIRMWARE) >= 2 && sizeof(TW_FIRMWARE) <= 17, "TW_FIRMWARE has 1 to 16 characters");
_Static_assert(sizeof(TW_BOARD_ID) >= 2 && sizeof(TW_BOARD_ID) <= 17, "TW_BOARD_ID has 1 to 16 characters");
_Static_assert(TW_CHANNELS >= 1 && TW_CHANNELS <= 8, "TW_CHANNELS is 1 to 8");
_Static_assert(TW_DISPLAY_COLUMNS >= 8 && TW_DISPLAY_COLUMNS <= 20, "TW_DISPLAY_COLUMNS is 8 to 20");
_Static_assert(TW_DISPLAY_ROWS >= 0 && TW_DISPLAY_ROWS <= 4, "TW_DISPLAY_ROWS is 0 to 4");
_Static_assert(TW_SAMPLE_RATE_TENTHS >= 100 && TW_SAMPLE_RATE_TENTHS <= 800, "TW_SAMPLE_RATE_TENTHS is 100 to 800");
_Static_assert(TW_FILTER_DELAY_MS >= 0 && TW_FILTER_DELAY_MS <= 999, "TW_FILTER_DELAY_MS is 0 to 999");
_Static_assert(TW_LONGEST_LEASE_MS >= 1 && TW_LONGEST_LEASE_MS <= 470, "TW_LONGEST_LEASE_MS is 1 to 470");
_Static_assert(TW_LONGEST_RUN_MS >= 1 && TW_LONGEST_RUN_MS <= 999999UL, "TW_LONGEST_RUN_MS is 1 to 999999");
_Static_assert(TW_LOWEST_COUNTS >= -8388608L && TW_LOWEST_COUNTS < TW_HIGHEST_COUNTS &&
                   TW_HIGHEST_COUNTS <= 8388607L,
               "TW_LOWEST_COUNTS lies below TW_HIGHEST_COUNTS, both within 24 bits");
_Static_assert(TW_PWM_HZ == 61 || TW_PWM_HZ == 244 || TW_PWM_HZ == 488 || TW_PWM_HZ == 976 || TW_PWM_HZ == 1953 ||
                   TW_PWM_HZ == 7812,
               "TW_PWM_HZ is 61, 244, 488, 976, 1953 or 7812");
_Static_assert(TW_SUPPLY_LEAST >= 1 && TW_SUPPLY_LEAST <= 1023, "TW_SUPPLY_LEAST is 1 to 1023");
_Static_assert(TW_SOFT_START_MS >= 0 && TW_SOFT_START_MS <= 100, "TW_SOFT_START_MS is 0 to 100");

#endif
