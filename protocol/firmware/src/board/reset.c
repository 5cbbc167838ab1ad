/* What happens before main: safe outputs, the cause of the reset, the watchdog off, RAM tested, the stack painted. */
#include <avr/io.h>
#include <avr/wdt.h>

#include "internal.h"
#include "pin.h"

/* In RAM that the start-up code does not clear, since it is written before that. */
static volatile uint8_t reset_flags __attribute__((section(".noinit"), used));
static volatile uint8_t loader_flags __attribute__((section(".noinit"), used));
static volatile uint8_t ram_bad __attribute__((section(".noinit"), used));

/* What outlives every reset but the loss of power, so that a boot loader that clears the flags does not hide all. */
#define MARKER_KEY 0x7A3CU
static volatile uint16_t marker_key __attribute__((section(".noinit"), used));
static volatile bool marker_hung __attribute__((section(".noinit"), used));

/* These pieces are not called: the linker puts them into the start-up code, one after the other. So they are naked,
 * have no stack, and use no function that the compiler would not inline. */
#define AT_START(section_name) __attribute__((naked, used, section(section_name)))

/* First instructions after reset, boot loader, or a stray jump to address 0 that was no reset: whatever the units
 * were doing, the gate of all pumps is driven low. Register 1 is not yet the zero that compiled code takes it for. */
void start_safe(void) AT_START(".init0");
void start_safe(void)
{
    __asm__ volatile("cli\n\tclr r1");
    TCCR2A = 0;
    SPEED_set_OUT();
}

/* Why the chip was reset. Boot loaders clear the flags; some leave a copy in register 2. */
void start_flags(void) AT_START(".init1");
void start_flags(void)
{
    __asm__ volatile("sts %0, r2\n\t"
                     "in r24, %2\n\t"
                     "sts %1, r24\n\t" ::"i"(&loader_flags),
                     "i"(&reset_flags), "I"(_SFR_IO_ADDR(MCUSR)));
}

/* A watchdog reset leaves the watchdog on, at its shortest time; it must go off before RAM is cleared. */
void start_watchdog(void) AT_START(".init3");
void start_watchdog(void)
{
    MCUSR = 0;
    wdt_disable();
}

/* Each byte of RAM, turned over and back: one that does not follow is bad. What it holds stays. Registers only. */
void start_test(void) AT_START(".init3");
void start_test(void)
{
    __asm__ volatile("ldi r30, lo8(%1)\n\t"
                     "ldi r31, hi8(%1)\n\t"
                     "ldi r27, hi8(%2 + 1)\n\t"
                     "ldi r26, 0\n"
                     "1: ld r24, Z\n\t"
                     "mov r25, r24\n\t"
                     "com r25\n\t"
                     "st Z, r25\n\t"
                     "ld r23, Z\n\t"
                     "st Z, r24\n\t"
                     "ld r22, Z\n\t"
                     "eor r23, r25\n\t"
                     "eor r22, r24\n\t"
                     "or r26, r23\n\t"
                     "or r26, r22\n\t"
                     "adiw r30, 1\n\t"
                     "cpi r30, lo8(%2 + 1)\n\t"
                     "cpc r31, r27\n\t"
                     "brne 1b\n\t"
                     "sts %0, r26\n\t" ::"i"(&ram_bad),
                     "i"(RAMSTART), "i"(RAMEND));
}

/* From the end of the variables to the end of RAM; nothing is on the stack yet. */
void start_paint(void) AT_START(".init3");
void start_paint(void)
{
    __asm__ volatile("ldi r30, lo8(_end)\n\t"
                     "ldi r31, hi8(_end)\n\t"
                     "ldi r24, %0\n\t"
                     "ldi r25, hi8(%1 + 1)\n"
                     "1: st Z+, r24\n\t"
                     "cpi r30, lo8(%1 + 1)\n\t"
                     "cpc r31, r25\n\t"
                     "brne 1b\n\t" ::"M"(STACK_PAINT),
                     "i"(RAMEND));
}

/* The flags of the chip, or the loader's copy of them where that does not contradict what RAM says. Power-up sets the
 * brown-out flag too, so it comes first. */
enum tw_reset_cause reset_cause(void)
{
    bool kept = marker_key == MARKER_KEY;
    bool hung = kept && marker_hung;
    uint8_t flags = reset_flags;
    if (flags == 0U && loader_flags <= 0x0FU && kept == ((loader_flags & _BV(PORF)) == 0U)) {
        flags = loader_flags;
    }
    marker_key = MARKER_KEY;
    marker_hung = false;
    if (flags & _BV(PORF) || (flags == 0U && !kept)) {
        return TW_RESET_POWER;
    }
    if (flags & _BV(BORF)) {
        return TW_RESET_BROWNOUT;
    }
    if (flags & _BV(WDRF) || (flags == 0U && hung)) {
        return TW_RESET_WATCHDOG;
    }
    return flags & _BV(EXTRF) ? TW_RESET_EXTERNAL : TW_RESET_RESET;
}

void reset_mark_hung(void)
{
    marker_hung = true;
}

enum tw_verdict reset_ram_verdict(void)
{
    return ram_bad ? TW_VERDICT_BAD : TW_VERDICT_OK;
}
