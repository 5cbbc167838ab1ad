/* A program that does what the firmware must not do, to see whether the emulated board notices.
 *
 * It echoes what it hears, in upper case a letter; a digit is a command:
 * 1 deaf for 500 us             2 read the converter           3 read it with one pulse of 100 us
 * 4 pump 1 at half speed        5 pumps 1 and 2 together       6 all off
 * 7 channel 5 by eight clocks   8 channel 5 by nine clocks     9 hang under a watchdog of 250 ms
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <util/delay.h>

#include "pins.h"

#define FUNCTIONS(name, port, bit, label, direction, what)                                                   \
    static inline void name##_high(void) { PORT##port |= _BV(bit); }                                         \
    static inline void name##_low(void) { PORT##port &= (unsigned char)~_BV(bit); }                          \
    static inline unsigned char name##_read(void) { return (PIN##port & _BV(bit)) != 0; }                    \
    static inline void name##_output(void) { DDR##port |= _BV(bit); }
#pragma GCC diagnostic ignored "-Wunused-function"
PINS(FUNCTIONS)

static void say(unsigned char byte)
{
    while (!(UCSR0A & _BV(UDRE0)))
        ;
    UDR0 = byte;
}

static void read_converter(unsigned char late)
{
    unsigned long code = 0;
    while (ADC_DATA_read())
        ;
    for (unsigned char i = 0; i < 25; i++) {
        ADC_CLOCK_high();
        _delay_us(1);
        if (i < 24)
            code = code << 1 | ADC_DATA_read();
        if (late && i == 10)
            _delay_us(100);
        ADC_CLOCK_low();
        _delay_us(1);
    }
    for (signed char shift = 20; shift >= 0; shift -= 4)
        say("0123456789ABCDEF"[code >> shift & 15]);
}

static void speed(unsigned char share)
{
    OCR2B = share;
    TCCR2B = _BV(CS21);
    TCCR2A = share ? _BV(COM2B1) | _BV(WGM21) | _BV(WGM20) : 0;
    SPEED_low();
}

static void clocks(unsigned char count, unsigned char bits)
{
    for (unsigned char i = 0; i < count; i++, bits <<= 1) {
        if (bits & 0x80)
            SHIFT_DATA_high();
        else
            SHIFT_DATA_low();
        SHIFT_CLOCK_high();
        SHIFT_CLOCK_low();
    }
}

static void obey(unsigned char command)
{
    switch (command) {
    case '1':
        _delay_us(500);
        break;
    case '2':
    case '3':
        read_converter(command == '3');
        break;
    case '4':
        FORWARD_1_high();
        speed(127);
        break;
    case '5':
        FORWARD_1_high();
        FORWARD_2_high();
        speed(255);
        break;
    case '6':
        speed(0);
        FORWARD_1_low();
        FORWARD_2_low();
        break;
    case '7':
    case '8':
        clocks(16, 0);
        clocks(command == '7' ? 8 : 9, 1);
        speed(255);
        break;
    case '9':
        wdt_enable(WDTO_250MS);
        for (;;)
            ;
    }
}

int main(void)
{
    unsigned char cause = MCUSR;
    MCUSR = 0;
    wdt_disable();
    SPEED_output();
    ADC_CLOCK_output();
    SHIFT_CLOCK_output();
    SHIFT_DATA_output();
    FORWARD_1_output();
    FORWARD_2_output();
    UBRR0 = 16;
    UCSR0A = _BV(U2X0);
    UCSR0B = _BV(RXEN0) | _BV(TXEN0);
    say((unsigned char)('0' + cause));
    for (;;)
        if (UCSR0A & _BV(RXC0)) {
            unsigned char lost = UCSR0A & _BV(DOR0);
            unsigned char byte = UDR0;
            if (lost)
                say('!');
            if (byte >= '1' && byte <= '9')
                obey(byte);
            else
                say(byte >= 'a' && byte <= 'z' ? (unsigned char)(byte - 32) : byte);
        }
}
