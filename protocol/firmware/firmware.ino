// The sketch: everything is in src/, plain C that `make` builds as well. Settings: config.h, pins: pins.h.
#include "src/firmware.h"

void setup()
{
    firmware_setup();
}

void loop()
{
    firmware_loop();
}
