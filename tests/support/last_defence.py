"""What the board has to hold when everything else is gone, each as phases at random moments.

A phase returns the figure by which it is judged, having asserted what must hold whatever it is. The tests run
a few phases, the benchmark two hundred, on both builds.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random

from chip_rig import CAUSES, MS, ChipRig
from tarewell_avr.building import Settings, build_firmware, variables_end
from tarewell_protocol import messages as m

FORWARD, REVERSE = m.Direction.FORWARD, m.Direction.REVERSE
LEASE_MS = 470
OFF_MS = 500
CLOCK_SLOW = 1.01
"""A ceramic resonator, SPEC.md section 7."""
WATCHDOG_MS, WATCHDOG_SLOW = 16.0, 1.5
"""2048 cycles of 128 kHz (data sheet), and far more than its oscillator's charts show (from memory: 20 %)."""
REVERSAL_MS = 100
REFRESH_MS = 10
RAMP_MS = 60
TCCR1B = 0x81
UNUSED_END = 0x700
"""No stack has been seen to reach down to here: the program still starts while the bit is stuck."""
SUPPLY, INTERLOCK = 6, 7
"""Channels of the chip's own converter."""
INPUTS = (("TW_SUPPLY_SENSE", "1"), ("TW_INTERLOCK", "1"))

Phase = Callable[[ChipRig], float]


def _running(rig: ChipRig, lease_ms: int = LEASE_MS) -> float:
    """A pump that runs and is kept up for a while; returns when the last renewal had arrived."""
    rig.open()
    channel, direction = rig.random.randint(1, 8), rig.random.choice((FORWARD, REVERSE))
    rig.pass_ms(REVERSAL_MS)
    said, arrived = rig.start(channel, direction, rig.random.randint(60, 255), lease_ms)
    assert said == m.Done()
    if rig.random.random() < 0.5 and lease_ms > 150:
        arrived = rig.keep_up(rig.random.uniform(0, 250), arrived, lease_ms)
    assert list(rig.drives) == [channel]
    return arrived


def _hung(rig: ChipRig, interrupts: bool) -> float:
    """The program hangs at any time of the lease; the figure is for a slow clock and a slow watchdog."""
    arrived = _running(rig)
    rig.pass_ms(rig.random.uniform(0, max(0.0, arrived + LEASE_MS - rig.now_ms)))
    rig.hang(interrupts)
    ran_ms = rig.off_ms() - arrived
    assert rig.boot().latched is False
    return (ran_ms - WATCHDOG_MS) * CLOCK_SLOW + WATCHDOG_MS * WATCHDOG_SLOW


def hung_with_interrupts(rig: ChipRig) -> float:
    """Off after the last renewal, ms, though the main loop hangs."""
    return _hung(rig, True)


def hung_without_interrupts(rig: ChipRig) -> float:
    """Off after the last renewal, ms, though nothing of the program works any more."""
    return _hung(rig, False)


def host_silent(rig: ChipRig) -> float:
    """Off after the last renewal, ms, with a slow clock."""
    arrived = _running(rig)
    ran_ms = rig.off_ms() - arrived
    assert ran_ms >= LEASE_MS - 2
    return ran_ms * CLOCK_SLOW


def watchdog_dead(rig: ChipRig) -> float:
    """Off beyond the lease, ms, when the main loop hangs and the watchdog does not help."""
    lease_ms = rig.random.randint(60, 140)
    rig.chip.faults.stop_watchdog()
    arrived = _running(rig, lease_ms)
    rig.pass_ms(rig.random.uniform(0, max(0.0, arrived + lease_ms - rig.now_ms)))
    rig.hang(True)
    return rig.off_ms() - arrived - lease_ms


def clock_dead(rig: ChipRig) -> float:
    """Off after the millisecond timer stood still, ms, while bytes keep the main loop awake."""
    _running(rig)
    stopped = rig.now_ms
    rig.chip.faults.write_register(TCCR1B, 0)
    for _ in range(40):
        rig.write(b"x")
        rig.pass_ms(1.0)
    return rig.off_ms() - stopped


def stalled(rig: ChipRig) -> float:
    """Until a pass that took longer than the lease is told, ms; a renewal meanwhile saves nothing."""
    rig.chip.faults.stop_watchdog()
    rig.open()
    rig.pass_ms(REVERSAL_MS)
    assert rig.start(rig.random.randint(1, 8), lease_ms=35)[0] == m.Done()
    reads = rig.chip.figures().reads
    while rig.chip.figures().reads == reads:
        rig.pass_ms(0.02)  # now this pass has read the clock, and not yet the line
    rig.chip.faults.stall(60 * MS, interrupts=True)
    ends = rig.now_ms + 60
    rig.keep(400)
    rig.messages.clear()
    assert rig.until(lambda: bool(rig.stops()), 100.0)
    assert rig.stops()[0].cause is m.StopCause.LEASE
    heard = rig.now_ms
    assert rig.off_ms() < ends
    return heard - ends


def latch_over_reset(rig: ChipRig) -> float:
    """Emergency stops that a reset of any kind released."""
    _running(rig)
    cause = rig.random.choice(list(CAUSES))
    assert rig.answer(m.EmergencyStop()) == m.Done()
    rig.pass_ms(rig.random.choice((0.0, rig.random.uniform(0, 30))))
    if cause is m.ResetCause.WATCHDOG:
        rig.hang(rig.random.random() < 0.5)
    else:
        rig.reset(cause)
    assert rig.boot() == m.Booted(cause, latched=True)
    rig.open()
    released = rig.start(rig.random.randint(1, 8))[0] != m.Refused(m.Refusal.LATCHED)
    assert rig.answer(m.ReleaseEmergencyStop()) == m.Done()
    rig.pass_ms(5)
    rig.reset(m.ResetCause.EXTERNAL)
    assert rig.boot() == m.Booted(m.ResetCause.EXTERNAL, latched=False)
    return float(released)


def reversal(rig: ChipRig) -> float:
    """Milliseconds between two directions, negated so that less time is worse."""
    rig.open()
    rig.pass_ms(REVERSAL_MS)
    channel, first = rig.random.randint(1, 8), rig.random.choice((FORWARD, REVERSE))
    assert rig.start(channel, first)[0] == m.Done()
    rig.pass_ms(rig.random.uniform(0, 300))
    rig.ask(m.Stop())
    off = rig.off_ms()
    refused = 0
    while not rig.drives:
        said, _ = rig.start(channel, REVERSE if first is FORWARD else FORWARD)
        assert said in (m.Done(), m.Refused(m.Refusal.BUSY))
        refused += said != m.Done()
    assert refused
    return off - next(at for at, drives in rig.log if at > off and drives)


def spurious_clock(rig: ChipRig) -> float:
    """Milliseconds for which a disturbed shift register drives something else."""
    rig.open()
    rig.pass_ms(REVERSAL_MS)
    speed = rig.random.randint(60, 255)
    assert rig.start(rig.random.randint(5, 8), rig.random.choice((FORWARD, REVERSE)), speed)[0] == m.Done()
    right = rig.drives
    rig.pass_ms(rig.random.uniform(0, 20))
    hit = rig.now_ms
    rig.disturb_register(rig.random.randint(1, 8))
    assert rig.until(lambda: rig.drives == right, 50.0), rig.drives
    return max(0.0, rig.log[-1][0] - hit)


def _open_data(rig: ChipRig, hum_hz: float, stiff: bool) -> float:
    arrived = _running(rig)
    cut = rig.now_ms
    rig.chip.faults.open_data(hum_hz, rig.random.random(), stiff)
    while rig.drives and rig.now_ms < cut + 400:
        arrived = rig.keep()
        rig.pass_ms(max(arrived - rig.now_ms, 25.0))
    ran_ms = rig.off_ms() - cut
    for _ in range(6):
        rig.pass_ms(rig.random.uniform(5, 30))
        said, _ = rig.start(rig.random.randint(1, 8))
        assert said in (m.Refused(m.Refusal.ADC), m.Refused(m.Refusal.BUSY)), said
        assert not rig.drives
    rig.chip.faults.open_data(0, 0)
    return ran_ms


def data_open(rig: ChipRig) -> float:
    """Off after the ADC's data wire came off, ms, with the chip's pull-up at work; no run after that."""
    clocks = rig.chip.figures().stray
    ran_ms = _open_data(rig, rig.random.choice((50.0, 60.0)), stiff=False)
    assert rig.chip.figures().stray <= clocks + 25  # the line is high: at most a read goes on that had begun
    return ran_ms


def data_open_at_50_hz(rig: ChipRig) -> float:
    """The same with hum that is stronger than the pull-up."""
    return _open_data(rig, 50.0, stiff=True)


def data_open_at_60_hz(rig: ChipRig) -> float:
    """The same."""
    return _open_data(rig, 60.0, stiff=True)


def data_with_spikes(rig: ChipRig) -> float:
    """Runs accepted on an open data wire that is pulled low for a tenth of a millisecond now and then."""
    rig.open()
    rig.chip.faults.open_data(rig.random.uniform(200, 300), rig.random.random(), stiff=True, low_ms=0.1)
    rig.pass_ms(200)
    accepted = 0
    for _ in range(10):
        rig.pass_ms(rig.random.uniform(5, 30))
        accepted += rig.start(rig.random.randint(1, 8))[0] == m.Done()
    rig.chip.faults.open_data(0, 0)
    return float(accepted)


def data_shorted(rig: ChipRig) -> float:
    """Wrong readings, when the data wire touches ground in the middle of a read."""
    rig.open()
    rig.messages.clear()
    rig.chip.faults.short_data(rig.random.randint(1, 20))
    rig.pass_ms(200)
    return float(sum(abs(sample.counts - 100_000) > 100 for sample in rig.samples()))


def flood(rig: ChipRig) -> float:
    """From a stop behind a flood of noise to the pump's pin, ms, at 250000 baud."""
    _running(rig)
    kind = rig.random.randrange(3)
    noise = b"\n" * 3000
    if kind:
        length = 4 if kind == 1 else 90
        lines = (rig.random.randbytes(rig.random.randint(0, length)).replace(b"\n", b"") for _ in range(900))
        noise = b"\n".join(lines)[:3000] + b"\n"
    rig.write(noise)
    rig.keep()
    arrived = rig.ask(m.Stop())
    return rig.off_ms() - arrived


def soft_start(rig: ChipRig) -> float:
    """How far a soft start is from its stated length, ms."""
    rig.open()
    speed = rig.random.randint(20, 255)
    assert rig.start(rig.random.randint(1, 4), speed=speed)[0] == m.Done()
    rig.pass_ms(RAMP_MS + 20)
    started = next(at for at, drives in rig.log if drives)
    return abs(rig.log[-1][0] - started - RAMP_MS)


def hidden_cause(rig: ChipRig) -> float:
    """Causes told wrong behind a boot loader that clears them, with anything in the register for a copy."""
    rig.chip.faults.loader_clears(rig.random.randrange(256))
    rig.reset(m.ResetCause.EXTERNAL)
    told = rig.boot().cause
    wrong = told in (m.ResetCause.POWER, m.ResetCause.UNKNOWN)
    rig.chip.faults.loader_clears(rig.random.choice((0, rig.random.randrange(16, 256))))
    rig.reset(m.ResetCause.EXTERNAL)
    wrong |= rig.boot().cause is not m.ResetCause.RESET
    rig.reset(m.ResetCause.POWER)
    wrong |= rig.boot().cause is not m.ResetCause.POWER
    rig.hang(interrupts=True)
    wrong |= rig.boot().cause is not m.ResetCause.WATCHDOG
    return float(wrong)


def gate_held(rig: ChipRig) -> float:
    """Runs accepted while something holds the speed line high."""
    rig.open()
    rig.chip.faults.hold_speed(True)
    rig.pass_ms(rig.random.uniform(2, 10))
    accepted = rig.start(rig.random.randint(1, 8))[0] != m.Refused(m.Refusal.FAULT)
    rig.chip.faults.hold_speed(False)
    rig.pass_ms(2)
    assert rig.start(rig.random.randint(1, 8))[0] == m.Done()
    return float(accepted)


def held_bus(rig: ChipRig) -> float:
    """Until the display is written again after something held its bus, ms; the pump runs on."""
    arrived = _running(rig)
    rig.chip.faults.hold_bus(9)
    text = f"Interval in {rig.random.randrange(1000):03} min"
    rig.answer(m.Show(0, text))
    began = rig.now_ms

    def shown() -> bool:
        return (rig.chip.display() or b"").startswith(text.encode())

    while not shown() and rig.now_ms < began + 4000:
        arrived = rig.keep_up(50, arrived)
    assert shown()
    assert rig.drives
    return rig.now_ms - began


def memory_fails(rig: ChipRig) -> float:
    """Runs accepted by a board whose RAM has a stuck bit."""
    address = rig.random.randrange(variables_end(rig.elf) + 16, UNUSED_END)
    rig.chip.faults.stick_memory(address, 1 << rig.random.randrange(8))
    rig.reset(m.ResetCause.POWER)
    rig.pass_ms(25)  # the boot loader, and the test of RAM
    rig.chip.faults.stick_memory(address, 0)
    rig.boot()
    assert rig.check().ram is m.SelfTestVerdict.BAD
    accepted = rig.start(rig.random.randint(1, 8))[0] != m.Refused(m.Refusal.FAULT)
    rig.reset(m.ResetCause.POWER)
    rig.boot()
    return float(accepted)


def program_fails(rig: ChipRig) -> float:
    """Runs accepted by a board whose program differs by a bit from the one that was built.

    Only a stamped image can tell; the other build tells another CRC.
    """
    before = rig.check()
    address = rig.random.randrange(0x04, 0x28)  # unused interrupt vectors: what it does stays the same
    bit = 1 << rig.random.randrange(8)
    rig.chip.faults.flip_flash(address, bit)
    rig.reset(m.ResetCause.EXTERNAL)
    rig.boot()
    found = rig.check()
    assert found.flash_crc != before.flash_crc
    accepted = rig.start(rig.random.randint(1, 8))[0] == m.Done()
    assert accepted or found.flash is m.SelfTestVerdict.BAD
    rig.chip.faults.flip_flash(address, bit)
    rig.reset(m.ResetCause.EXTERNAL)
    rig.boot()
    assert rig.check() == before
    return float(accepted and before.flash is m.SelfTestVerdict.OK)


def supply_lost(rig: ChipRig) -> float:
    """Off after the pump supply went, ms; the emergency stop is then latched, also over a reset."""
    rig.chip.faults.analog(INTERLOCK, 0.0)
    rig.chip.faults.analog(SUPPLY, 3.5)
    rig.pass_ms(30)
    _running(rig)
    went = rig.now_ms
    rig.chip.faults.analog(SUPPLY, rig.random.uniform(0, 1.5))
    ran_ms = rig.off_ms() - went
    rig.pass_ms(rig.random.uniform(2, 30))
    rig.chip.faults.analog(SUPPLY, 2.8)
    rig.pass_ms(REVERSAL_MS)
    assert rig.start(1)[0] == m.Refused(m.Refusal.LATCHED)
    assert rig.stops()[-1].cause is m.StopCause.SUPPLY
    rig.reset(m.ResetCause.EXTERNAL)
    assert rig.boot().latched
    rig.open()
    assert rig.answer(m.ReleaseEmergencyStop()) == m.Done()
    return ran_ms


def interlock_opened(rig: ChipRig) -> float:
    """Off after the interlock opened, ms; once it is closed a pump may run again."""
    rig.chip.faults.analog(SUPPLY, 3.5)
    rig.chip.faults.analog(INTERLOCK, 0.1)
    rig.pass_ms(30)
    _running(rig)
    opened = rig.now_ms
    rig.chip.faults.analog(INTERLOCK, 5.0)
    ran_ms = rig.off_ms() - opened
    rig.pass_ms(REVERSAL_MS)
    assert rig.start(1)[0] == m.Refused(m.Refusal.INTERLOCK)
    assert rig.stops()[-1].cause is m.StopCause.INTERLOCK
    rig.chip.faults.analog(INTERLOCK, 0.1)
    rig.pass_ms(30)
    assert rig.start(1)[0] == m.Done()
    return ran_ms


@dataclass(frozen=True)
class Promise:
    """A kind of phase, how bad its figure may be, and what the build and the line have to be."""

    phase: Phase
    worst: float
    settings: Settings = ()
    baud: int = 115200

    @property
    def name(self) -> str:
        """Of the phase."""
        return self.phase.__name__

    def elf(self, sketch: bool) -> Path:
        """The program to run."""
        return build_firmware(self.baud, more=self.settings, sketch=sketch)

    def figures(self, elf: Path, phases: int, seed: int = 1) -> list[float]:
        """Of so many phases with this program; every tenth starts with a new board."""
        random, found = Random(f"{self.name} {seed}"), []
        rig = None
        for n in range(phases):
            if rig is None or n % 10 == 0 or self.phase in ONCE:
                rig = ChipRig(elf, random, self.baud)
            found.append(self.phase(rig))
            rig.log[:] = rig.log[-1:]
            rig.messages.clear()
        return found


ONCE = (watchdog_dead, clock_dead, stalled, soft_start)
"""Each of these needs a board of its own."""

PROMISES = [
    Promise(hung_with_interrupts, OFF_MS),
    Promise(hung_without_interrupts, OFF_MS),
    Promise(host_silent, OFF_MS),
    Promise(watchdog_dead, 20),
    Promise(clock_dead, 40),
    Promise(stalled, 10),
    Promise(latch_over_reset, 0),
    Promise(reversal, -REVERSAL_MS + 1.5),
    Promise(spurious_clock, REFRESH_MS),
    Promise(data_open, 165),
    Promise(data_open_at_50_hz, 165),
    Promise(data_open_at_60_hz, 165),
    Promise(data_with_spikes, 0),
    Promise(data_shorted, 0),
    Promise(flood, 5, baud=250000),
    Promise(soft_start, 2, (("TW_SOFT_START_MS", str(RAMP_MS)),)),
    Promise(hidden_cause, 0),
    Promise(gate_held, 0),
    Promise(held_bus, 2500),
    Promise(memory_fails, 0),
    Promise(program_fails, 0),
    Promise(supply_lost, 20, INPUTS),
    Promise(interlock_opened, 20, INPUTS),
]
