/* Which pin does what: the one place. The wiring table of docs/build and the emulated rig are made from it.
 *
 * One line a pin: PIN(name, port letter, bit, board label, direction, what it goes to)
 * All twenty pins of an ATmega328P board in its usual form are taken. The two optional inputs below are on A6 and A7,
 * which only the small boards have.
 */
#ifndef TAREWELL_PINS_H
#define TAREWELL_PINS_H

#define PINS(PIN)                                                                                            \
    PIN(UART_RX, D, 0, "D0", IN_UP, "serial from the computer (USB on the board)")                              \
    PIN(UART_TX, D, 1, "D1", OUT, "serial to the computer (USB on the board)")                               \
    PIN(ADC_DATA, D, 2, "D2", IN_UP, "load-cell ADC, data out; low when a conversion is ready")                 \
    PIN(SPEED, D, 3, "D3", OUT, "enable of every full bridge, pulse-width modulated; the one gate of all")   \
    PIN(ADC_CLOCK, D, 4, "D4", OUT, "load-cell ADC, clock in")                                               \
    PIN(KNOB_A, D, 5, "D5", IN_UP, "knob, phase A, switches to ground")                                      \
    PIN(KNOB_B, D, 6, "D6", IN_UP, "knob, phase B, switches to ground")                                      \
    PIN(BUTTON, D, 7, "D7", IN_UP, "knob, push button, switches to ground")                                  \
    PIN(FORWARD_1, B, 0, "D8", OUT, "channel 1, bridge input forward")                                       \
    PIN(REVERSE_1, B, 1, "D9", OUT, "channel 1, bridge input reverse")                                       \
    PIN(FORWARD_2, B, 2, "D10", OUT, "channel 2, bridge input forward")                                      \
    PIN(REVERSE_2, B, 3, "D11", OUT, "channel 2, bridge input reverse")                                      \
    PIN(FORWARD_3, B, 4, "D12", OUT, "channel 3, bridge input forward")                                      \
    PIN(SHIFT_DATA, B, 5, "D13", OUT, "shift register, serial data in")                                      \
    PIN(REVERSE_3, C, 0, "A0", OUT, "channel 3, bridge input reverse")                                       \
    PIN(FORWARD_4, C, 1, "A1", OUT, "channel 4, bridge input forward")                                       \
    PIN(REVERSE_4, C, 2, "A2", OUT, "channel 4, bridge input reverse")                                       \
    PIN(SHIFT_CLOCK, C, 3, "A3", OUT, "shift register, shift and storage clock tied together")               \
    PIN(DISPLAY_SDA, C, 4, "A4", I2C, "display's I2C expander, data")                                        \
    PIN(DISPLAY_SCL, C, 5, "A5", I2C, "display's I2C expander, clock")

/* Inputs of the chip's own ADC, read only where config.h says that they are wired (TW_SUPPLY_SENSE, TW_INTERLOCK). */
#define ANALOG_INPUTS(INPUT)                                                                                 \
    INPUT(SUPPLY, 6, "A6", "pump supply after the emergency switch, through a divider")                      \
    INPUT(INTERLOCK, 7, "A7", "interlock switch to ground, closed when pumps may turn")

/* One 8-bit shift register with storage (74HC595) drives channels 5 to 8. With both clocks tied, storage is one
 * clock behind the shift stages, so nine clocks put eight bits out. Outputs by bit: */
#define SHIFT_OUTPUTS(OUTPUT)                                                                                \
    OUTPUT(0, "channel 5, bridge input forward")                                                             \
    OUTPUT(1, "channel 5, bridge input reverse")                                                             \
    OUTPUT(2, "channel 6, bridge input forward")                                                             \
    OUTPUT(3, "channel 6, bridge input reverse")                                                             \
    OUTPUT(4, "channel 7, bridge input forward")                                                             \
    OUTPUT(5, "channel 7, bridge input reverse")                                                             \
    OUTPUT(6, "channel 8, bridge input forward")                                                             \
    OUTPUT(7, "channel 8, bridge input reverse")

#endif
