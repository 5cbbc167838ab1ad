/* A second port of board_hal.h: the firmware's main loop on this computer, with simulated parts, behind a
 * pseudo-terminal. It proves the seam, and gives whoever writes a host something to talk to.
 *
 *     host-board [LINK [LATCH]]     prints the terminal's name; LINK is made to point at it, and the file LATCH keeps
 *                                   the emergency stop
 *
 * The load cell feels what the pumps deliver. No watchdog: what hangs here wets nobody.
 */
#define _GNU_SOURCE
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/time.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "../../src/board_hal.h"
#include "../../src/firmware.h"

#define ZERO_COUNTS 120000.0
#define COUNTS_PER_MS 8.6 /* 4 g/s at full drive, 2147 counts a gram */

static const char *link_path, *latch_path;
static int terminal, slave = -1;
static struct tw_ring *out;
static struct tw_run driven;
static volatile sig_atomic_t cut;
static double load_counts = ZERO_COUNTS;
static uint32_t filled_ms, converted_ms;
static bool latched;

static void fail(const char *what)
{
    perror(what);
    exit(1);
}

static void cut_pumps(int signal)
{
    (void)signal;
    cut = 1;
}

/* The slave stays open here: a host that leaves does not take the terminal with it. */
static void open_terminal(void)
{
    struct termios raw;
    terminal = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    if (terminal < 0 || grantpt(terminal) || unlockpt(terminal)) {
        fail("pseudo-terminal");
    }
    const char *name = ptsname(terminal);
    slave = open(name, O_RDWR | O_NOCTTY);
    if (slave < 0 || tcgetattr(slave, &raw)) {
        fail(name);
    }
    cfmakeraw(&raw);
    tcsetattr(slave, TCSANOW, &raw);
    if (link_path != NULL) {
        unlink(link_path);
        if (symlink(name, link_path)) {
            fail(link_path);
        }
    }
    printf("%s\n", name);
    fflush(stdout);
}

struct tw_boot hal_setup(struct tw_ring *out_ring)
{
    out = out_ring;
    open_terminal();
    signal(SIGALRM, cut_pumps);
    latched = latch_path != NULL && access(latch_path, F_OK) == 0;
    return (struct tw_boot){.cause = TW_RESET_POWER,
                            .latched = latched,
                            .flash = TW_VERDICT_UNTESTED,
                            .ram = TW_VERDICT_UNTESTED};
}

uint32_t hal_now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (uint32_t)(now.tv_sec * 1000 + now.tv_nsec / 1000000);
}

void hal_feed(void)
{
}

void hal_sleep(uint32_t now_ms)
{
    struct pollfd host = {.fd = terminal, .events = POLLIN};
    if (hal_now_ms() == now_ms) {
        poll(&host, 1, 1);
    }
}

bool hal_take_byte(uint8_t *byte)
{
    return read(terminal, byte, 1) == 1;
}

/* What the terminal has no room for waits in the ring. */
void hal_send(void)
{
    while (tw_ring_used(out) > 0U) {
        uint8_t byte = out->bytes[out->tail];
        if (write(terminal, &byte, 1) != 1) {
            return;
        }
        tw_ring_take(out, &byte);
    }
}

uint8_t hal_take_overruns(void)
{
    return 0;
}

static void fill(uint32_t now_ms)
{
    if (driven.channel != 0U && !cut) {
        double counts = COUNTS_PER_MS * driven.speed / 255.0 * (now_ms - filled_ms);
        load_counts += driven.reverse ? -counts : counts;
    }
    filled_ms = now_ms;
}

bool hal_convert(int32_t *counts)
{
    uint32_t now_ms = hal_now_ms();
    if ((now_ms - converted_ms) * TW_SAMPLE_RATE_TENTHS < 10000U) {
        return false;
    }
    converted_ms = now_ms;
    fill(now_ms);
    *counts = (int32_t)load_counts + rand() % 64 - 32;
    return true;
}

void hal_drive(const struct tw_run *run, uint32_t now_ms)
{
    if (run->channel != driven.channel || run->speed != driven.speed) {
        fill(now_ms);
        cut = run->channel == driven.channel ? cut : 0;
        driven = *run;
    }
}

void hal_allow_ms(uint16_t left_ms)
{
    const struct itimerval timer = {.it_value = {.tv_usec = left_ms * 1000L}};
    setitimer(ITIMER_REAL, &timer, NULL);
}

bool hal_was_cut(void)
{
    return cut && driven.channel != 0U;
}

bool hal_gate_low(void)
{
    return true;
}

void hal_keep_latch(bool now_latched)
{
    if (now_latched == latched) {
        return;
    }
    latched = now_latched;
    if (latch_path == NULL) {
        return;
    }
    if (latched) {
        int file = open(latch_path, O_CREAT | O_WRONLY, 0600);
        if (file < 0 || fsync(file) || close(file)) {
            fail(latch_path);
        }
    } else if (unlink(latch_path)) {
        fail(latch_path);
    }
}

bool hal_button_down(void)
{
    return false;
}

int8_t hal_knob_steps(uint32_t now_ms)
{
    (void)now_ms;
    return 0;
}

bool hal_interlock_open(void)
{
    return false;
}

bool hal_supply_off(void)
{
    return false;
}

void hal_show(struct tw_display *display, uint32_t now_ms)
{
    uint8_t byte;
    tw_display_next(display, now_ms, &byte);
}

int main(int count, char **arguments)
{
    link_path = count > 1 ? arguments[1] : NULL;
    latch_path = count > 2 ? arguments[2] : NULL;
    firmware_setup();
    for (;;) {
        firmware_loop();
    }
}
