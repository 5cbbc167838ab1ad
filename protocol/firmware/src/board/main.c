/* A sketch has a main of its own, which calls the same two functions. */
#ifndef ARDUINO

#include "../firmware.h"

int main(void)
{
    firmware_setup();
    for (;;) {
        firmware_loop();
    }
}

#endif
