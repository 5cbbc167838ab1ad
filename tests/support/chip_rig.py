"""A chip with the firmware on a bench: a host, a converter, a log of the pumps, and no physics of a machine.

Times are milliseconds of the chip's clock, to the cycle.
"""

from collections.abc import Callable
from pathlib import Path
from random import Random

from tarewell_avr.binding import CPU_HZ, Chip
from tarewell_avr.building import build_library
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_from_board, encode_request
from tarewell_protocol.framing import BOARD_LINE_MAX, LineReader

MS = CPU_HZ // 1000
REFRESH_CYCLES = 800
"""The gate goes down for a shorter time while the shift register is written again."""
FAR = 2_000_000
CAUSES = {
    m.ResetCause.POWER: 0,
    m.ResetCause.EXTERNAL: 1,
    m.ResetCause.BROWNOUT: 2,
    m.ResetCause.WATCHDOG: 3,
}
"""Their bits in MCUSR."""


class ChipRig:
    """One chip, powered up, converting and listened to."""

    def __init__(self, elf: Path, random: Random, baud: int = 115200, boot_ms: float = 20.0) -> None:
        self.elf, self.random = elf, random
        self.chip = Chip(build_library(), elf, round(boot_ms * MS))
        self._byte_cycles = round(10 * CPU_HZ / baud)
        self.chip.line_rate(self._byte_cycles)
        self._period = round(CPU_HZ / random.uniform(75, 85))
        self._due = self._period
        self.counts: Callable[[], int] = lambda: 100_000 + random.randrange(-100, 100)
        self.messages: list[m.FromBoard] = []
        self.heard_ms = 0.0
        """When the last answer was heard."""
        self.log: list[tuple[float, dict[int, float]]] = [(0.0, {})]
        """Every change of what the pumps are driven with, but for those of a refresh."""
        self._reader = LineReader(BOARD_LINE_MAX)
        self._free = 0
        self._seq = self._run = 0
        self.pass_ms(80.0)

    @property
    def now_ms(self) -> float:
        """The chip's time."""
        return self.chip.cycle / MS

    @property
    def drives(self) -> dict[int, float]:
        """What the pumps are driven with."""
        return self.log[-1][1]

    def pass_ms(self, ms: float) -> None:
        """Let time pass."""
        self.until(lambda: False, ms)

    def until(self, met: Callable[[], bool], limit_ms: float) -> bool:
        """Let time pass until something is so, looking at each change of a pump, line and conversion."""
        end = self.chip.cycle + round(limit_ms * MS)
        while not met():
            if self.chip.cycle >= end:
                return False
            self._step(end)
        return True

    def _step(self, until: int) -> None:
        if self.chip.run(min(until, self._due)):
            self._drives_changed()
        elif self.chip.cycle >= self._due:
            self._due += self._period
            self.chip.convert(self.counts())
        for body in self._reader.feed(self.chip.sent()):
            found = decode_from_board(body)
            if found is not None:
                self.messages.append(found)
                self.heard_ms = self.now_ms if isinstance(found, m.Reply) else self.heard_ms

    def _drives_changed(self) -> None:
        now_ms = self.now_ms
        if self.drives:  # perhaps only while the register is written again
            over = self.chip.cycle + REFRESH_CYCLES
            while not self.chip.drives() and self.chip.run(over):
                pass
        drives = self.chip.drives()
        if drives != self.drives:
            self.log.append((now_ms, drives))

    # What the host does

    def write(self, data: bytes) -> float:
        """Send bytes; returns when the last will have arrived."""
        self.chip.receive(data, self._byte_cycles)
        self._free = max(self._free, self.chip.cycle) + len(data) * self._byte_cycles
        return self._free / MS

    def ask(self, command: m.Command) -> float:
        """Send a request; returns when its line feed will have arrived."""
        self._seq = (self._seq + 1) % 256
        return self.write(encode_request(m.Request(self._seq, command)))

    def answer(self, command: m.Command, limit_ms: float = 30.0) -> m.ReplyBody | None:
        """Send a request and wait for its answer."""
        self.ask(command)
        seq = self._seq
        heard = len(self.messages)

        def answers() -> list[m.ReplyBody]:
            new = (found for found in self.messages[heard:] if isinstance(found, m.Reply))
            return [found.body for found in new if found.seq == seq]

        self.until(lambda: bool(answers()), limit_ms)
        return next(iter(answers()), None)

    def open(self) -> None:
        """Open a new session, and wait until the board will run a pump."""
        self.write(b"\n")
        assert isinstance(self.answer(m.Hello(self.random.randrange(1 << 16)), 50.0), m.Identity)
        self.pass_ms(2 * self._period / MS)

    def start(
        self,
        channel: int,
        direction: m.Direction = m.Direction.FORWARD,
        speed: int = 255,
        lease_ms: int = 470,
        max_ms: int = 60_000,
    ) -> tuple[m.ReplyBody | None, float]:
        """Run a pump; returns the answer, and when the request had arrived."""
        self._run = (self._run + 1) % 256
        run = m.Run(channel, direction, speed, lease_ms, FAR, max_ms, number=self._run)
        self._seq = (self._seq + 1) % 256
        arrived = self.write(encode_request(m.Request(self._seq, run)))
        seq = self._seq
        self.pass_ms(arrived - self.now_ms + 12.0)
        found = [said.body for said in self.messages if isinstance(said, m.Reply) and said.seq == seq]
        return (found[-1] if found else None), arrived

    def keep(self, lease_ms: int = 470) -> float:
        """Renew the lease of the last run; returns when that will have arrived."""
        return self.ask(m.Keep(self._run, lease_ms))

    def keep_up(self, ms: float, arrived_ms: float, lease_ms: int = 470) -> float:
        """Renew the lease now and then for a while; returns when the last renewal had arrived."""
        end = self.now_ms + ms
        while self.now_ms < end:
            arrived_ms = self.keep(lease_ms)
            self.pass_ms(max(arrived_ms - self.now_ms, self.random.uniform(40, 140)))
        return arrived_ms

    # What was heard and seen

    def events(self) -> list[m.EventBody]:
        """Events heard."""
        return [found.body for found in self.messages if isinstance(found, m.Event)]

    def stops(self) -> list[m.Stopped]:
        """Ends of runs heard."""
        return [body for body in self.events() if isinstance(body, m.Stopped)]

    def check(self) -> m.SelfTest:
        """Open a session and ask what the self-test found."""
        self.open()
        found = self.answer(m.AskSelfTest())
        assert isinstance(found, m.SelfTest)
        return found

    def samples(self) -> list[m.Sample]:
        """Samples heard."""
        return [found for found in self.messages if isinstance(found, m.Sample)]

    def off_ms(self, limit_ms: float = 1000.0) -> float:
        """When the pumps went off for good; waits for that."""
        assert self.until(lambda: not self.drives, limit_ms), f"still driven: {self.drives}"
        return self.log[-1][0]

    def hang(self, interrupts: bool) -> None:
        """The program hangs; `self.messages` then begins anew."""
        self.chip.faults.hang(interrupts)
        self.messages.clear()

    def disturb_register(self, edges: int) -> None:
        """So many spurious clocks reach the shift register."""
        self.chip.faults.spurious_clocks(edges)
        self._drives_changed()

    def reset(self, cause: m.ResetCause) -> None:
        """Reset the chip; `self.messages` then begins anew."""
        self.chip.reset(CAUSES[cause])
        self._drives_changed()
        self._reader = LineReader(BOARD_LINE_MAX)
        self.messages.clear()

    def boot(self, limit_ms: float = 300.0) -> m.Booted:
        """Wait for the event with which the board tells that it has started."""

        def boots() -> list[m.Booted]:
            return [body for body in self.events() if isinstance(body, m.Booted)]

        assert self.until(lambda: bool(boots()), limit_ms), "the board does not start"
        return boots()[-1]
