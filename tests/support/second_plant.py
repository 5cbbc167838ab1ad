"""A second machine for the tests: pumps, jets, a platform and a board, independent of the simulator.

It is written from first principles and from protocol/SPEC.md, so that pours are tested on more than one
model. Time advances in steps of a millisecond. A pump runs up and coasts as a first-order lag. A stretch of
liquid leaves the nozzle with v0 = m' / (rho A), falls freely from there, and presses on the glass with its
momentum when it lands. Afterwards drops fall. The platform is a lightly damped oscillator, the ADC averages
over some of its conversions. The line is faultless, so the board keeps no memory of answers. Not modelled:
empty bottles, filling tubes, a jet that shortens as the glass fills, drag, splash, creep, faults.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import pi, sin, sqrt
from random import Random

from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_command, encode_from_board, request_seq
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader

STEP_S = 0.001
G_M_PER_S2 = 9.81
WATER_G_PER_M3 = 1e6
DROP_G = 0.05
"""A drop of water from a tube of a few millimetres; common laboratory figure, twenty to the millilitre."""

ZERO_COUNTS, LOWEST_COUNTS = -40_000, -400_000
"""What the empty platform reads, and the reading below which the board runs no pump."""

REVERSAL_S = 0.1
"""No pump runs in the other direction so soon after the last run (SPEC.md)."""

BLIND_S = 0.15
"""The board stops without a conversion for this long (SPEC.md)."""

MENISCUS_M = 0.002
"""Drops hang at the mouth of a nozzle; a meniscus that was drawn further back than this stays where it is."""

THREAD_S = 0.35
"""A thread of liquid thins out with this time constant."""

STANDSTILL = 0.02
"""Share of full speed below which nothing leaves the nozzle."""


@dataclass(frozen=True)
class PumpBuild:
    """A pump with its tube and nozzle. The flow is of water at full drive; below `stall_share` it stalls.

    The bridge's pulses are long, as at a few tens of hertz: in a duty D each reaches (V - emf) / R, so the
    mean current is D (V - emf) / R, and a constant load is carried at a speed of 1 - s / D over 1 - s.
    """

    flow_g_per_s: float
    nozzle_bore_mm: float
    run_up_s: float = 0.06
    coast_s: float = 0.05
    stall_share: float = 0.2
    ripple: float = 0.2
    rollers_per_s: float = 9.0
    max_drips: int = 8
    drip_spacing_s: float = 0.4
    run_spread: float = 0.0
    """Standard deviation of the flow from run to run, as a share: rollers and tube never stand the same."""
    shake_g: float = 0.0
    """Amplitude of what the turning pump adds to the reading, at its rollers' frequency."""
    bubble_every_s: float = 0.0
    """Mean time between bubbles, each of which leaves out 0.05 to 0.25 s of the flow; 0: none come."""
    thread_g: float = 0.0
    """What follows a stop as a thread of liquid that thins out, as of a syrup."""


@dataclass(frozen=True)
class PlantBuild:
    """The build of the machine. The ADC has a nominal rate; `rate_error` is its oscillator's error."""

    pumps: Mapping[int, PumpBuild]
    rate_hz: int = 80
    rate_error: float = 0.04
    filter_conversions: int = 4
    noise_g: float = 0.02
    platform_hz: float = 12.0
    damping: float = 0.04
    fall_m: float = 0.16
    abilities: str = "rvk"
    counts_per_g: float = 1900.0
    hum_g: float = 0.0
    hum_hz: float = 50.0
    """Amplitude and frequency of what shakes the table all the time."""


@dataclass
class _Line:
    """One pump and the liquid behind its nozzle."""

    build: PumpBuild
    random: Random
    speed: float = 0.0
    angle: float = 0.0
    free: float = 1.0
    luck: float = 1.0
    drips_s: list[float] = field(default_factory=list)
    gap_g: float = 0.0
    """Liquid that is missing behind the mouth of the nozzle, drawn back by a reverse run."""
    backwards: bool = False
    bubble_until_s: float = 0.0
    thread_g_per_s: float = 0.0

    def __post_init__(self) -> None:
        self._bore_m2 = pi / 4 * (self.build.nozzle_bore_mm / 1000) ** 2

    def _plan_drips(self, now_s: float) -> None:
        """Drops after a stop; of liquid that was drawn back only a film on the wall, one drop at most."""
        at_s, most = now_s, self.build.max_drips
        if self.gap_g > MENISCUS_M * self._bore_m2 * WATER_G_PER_M3:
            most = min(most, 1)
        for _ in range(self.random.randint(0, most)):
            at_s += self.random.expovariate(1 / self.build.drip_spacing_s)
            self.drips_s.append(at_s)

    def _bubbles(self, now_s: float) -> bool:
        if now_s >= self.bubble_until_s and self.random.random() < STEP_S / self.build.bubble_every_s:
            self.bubble_until_s = now_s + self.random.uniform(0.05, 0.25)
        return now_s < self.bubble_until_s

    def leaves(self, drive: float, now_s: float) -> tuple[float, float]:
        """The mass in g that leaves the nozzle in this step, and its speed in m/s."""
        build = self.build
        if drive:
            self.backwards = drive < 0  # the board lets no motor that still turns be reversed
        drive = abs(drive)
        stall = build.stall_share
        wanted = (1 - stall / drive) / (1 - stall) if drive > stall else 0.0
        lag_s = build.run_up_s if wanted > self.speed else build.coast_s
        moved = self.speed > STANDSTILL
        if wanted and not moved and build.run_spread:
            self.luck = max(0.5, self.random.gauss(1.0, build.run_spread))
        self.speed += (wanted - self.speed) * STEP_S / lag_s
        if self.speed > STANDSTILL:
            self.drips_s.clear()
            self.angle += 2 * pi * build.rollers_per_s * self.speed * STEP_S
            flow = self.luck * self.free * build.flow_g_per_s * self.speed
            flow *= 1 + build.ripple * sin(self.angle)
            if self.backwards:
                self.gap_g += flow * STEP_S
                return 0.0, 0.0
            if self.gap_g > 0.0:
                self.gap_g -= flow * STEP_S
                return 0.0, 0.0
            if build.bubble_every_s and self._bubbles(now_s):
                return 0.0, 0.0
            return flow * STEP_S, flow / WATER_G_PER_M3 / self._bore_m2
        if moved:
            self._plan_drips(now_s)
            self.thread_g_per_s = 0.0 if self.backwards else build.thread_g / THREAD_S
        if self.thread_g_per_s:
            self.thread_g_per_s *= 1 - STEP_S / THREAD_S
            return self.thread_g_per_s * STEP_S, 0.0
        if self.drips_s and self.drips_s[0] <= now_s:
            self.drips_s.pop(0)
            return DROP_G * self.random.uniform(0.8, 1.2), 0.0
        return 0.0, 0.0


class SecondPlant:
    """The machine; it is its own bench (glasses) and truth (their contents)."""

    def __init__(self, build: PlantBuild, seed: int) -> None:
        self._build = build
        self._random = Random(seed)
        self._lines = {n: _Line(pump, self._random) for n, pump in build.pumps.items()}
        self._shaking = [line for line in self._lines.values() if line.build.shake_g]
        self._stiffness = (2 * pi * build.platform_hz) ** 2
        self._drag = 4 * pi * build.damping * build.platform_hz
        self._falling: deque[tuple[float, float, float, int]] = deque()
        self._reads_g = self._rate_g_per_s = 0.0
        period_s = 1 / (build.rate_hz * (1 + build.rate_error))
        self._window: deque[float] = deque(maxlen=round(build.filter_conversions * period_s / STEP_S))
        self._period_s, self._due_s = period_s, 0.0
        self._board = _Board(build)
        self._steps = 0
        self._owed_s = 0.0
        self.glass_g: float | None = None
        self._lifted_g: float | None = None
        self._poured_g = 0.0
        self._hand_g, self._hand_until_s = 0.0, 0.0
        self._converting = True
        self.stuck: dict[int, float] = {}
        """Share of full drive on motors whose driver is stuck, unknown to the board."""
        self.delivered_g = dict.fromkeys(build.pumps, 0.0)

    @property
    def now_s(self) -> float:
        """Seconds since the start."""
        return self._steps * STEP_S

    @property
    def glass_present(self) -> bool:
        """Whether a glass is on the platform."""
        return self.glass_g is not None

    @property
    def glass_contents_g(self) -> float:
        """What has been poured into the glass on the platform, 0 without one."""
        return 0.0 if self.glass_g is None else self._poured_g

    def flow_g_per_s(self, channel: int) -> float:
        """The flow at full drive, pulsation and luck apart."""
        return self._build.pumps[channel].flow_g_per_s

    @property
    def pump_on(self) -> frozenset[int]:
        """Channels whose motor has voltage."""
        driven = (n for n in self._lines if self._board.drive(n) or self.stuck.get(n))
        return frozenset(driven)

    @property
    def bench(self) -> "SecondPlant":
        """The bench: hands and faults, under the names that the simulator gives them."""
        return self

    @property
    def truth(self) -> "SecondPlant":
        """The truth: what has landed."""
        return self

    def place_glass(self, mass_g: float) -> None:
        """Put an empty glass on the platform, in place of any other."""
        self.glass_g, self._poured_g = mass_g, 0.0

    def lift_glass(self) -> None:
        """Take the glass away."""
        self._lifted_g, self.glass_g = self.glass_g, None

    def put_back(self) -> None:
        """Put the lifted glass back."""
        self.glass_g = self._lifted_g

    def hand(self, force_n: float, seconds: float) -> None:
        """Press a hand on the platform for a while."""
        self._hand_g, self._hand_until_s = 1000 * force_n / G_M_PER_S2, self.now_s + seconds

    def stuck_relay(self, channel: int, on: bool) -> None:
        """A driver sticks at full drive, or comes free."""
        self.stuck[channel] = 1.0 if on else 0.0

    def kink(self, channel: int, factor: float) -> None:
        """Let a pump deliver this share of its flow."""
        self._lines[channel].free = factor

    def stop_conversions(self, on: bool) -> None:
        """Stop the converter's output."""
        self._converting = not on

    def bump(self, impulse_n_s: float) -> None:
        """As `knock`."""
        self.knock(impulse_n_s)

    def knock(self, impulse_n_s: float) -> None:
        """A blow on the platform, as the speed that it gives to the reading."""
        self._rate_g_per_s += 1000 * impulse_n_s * self._stiffness / G_M_PER_S2

    def write(self, data: bytes) -> None:
        """Bytes from the host."""
        self._board.hear(data, self.now_s)

    def read(self) -> bytes:
        """Bytes for the host."""
        data, self._board.out = self._board.out, b""
        return data

    def advance(self, dt_s: float) -> None:
        """Let time pass, in whole steps; a remainder is carried over."""
        self._owed_s += dt_s
        while self._owed_s >= STEP_S:
            self._step()

    def advance_until_heard(self, most_s: float) -> None:
        """The same until the board has said something; nothing is then carried over."""
        self._owed_s += most_s
        while self._owed_s >= STEP_S and not self._board.out:
            self._step()
        if self._board.out:
            self._owed_s = 0.0

    def _step(self) -> None:
        self._owed_s -= STEP_S
        self._steps += 1
        board, build, falling, now_s = self._board, self._build, self._falling, self._steps * STEP_S
        board.watch(now_s)
        for number, line in self._lines.items():
            drive = board.drive(number)
            if self.stuck:
                drive = max(drive, self.stuck.get(number, 0.0))
            mass_g, v0 = line.leaves(drive, now_s)
            if mass_g:
                impact = sqrt(v0 * v0 + 2 * G_M_PER_S2 * build.fall_m)
                falling.append((now_s + (impact - v0) / G_M_PER_S2, mass_g, impact, number))
        force_g = self._hand_g if now_s < self._hand_until_s else 0.0
        while falling and falling[0][0] <= now_s:
            _, mass_g, impact, number = falling.popleft()
            force_g += mass_g * impact / STEP_S / G_M_PER_S2
            if self.glass_g is not None:
                self.glass_g += mass_g
                self._poured_g += mass_g
                self.delivered_g[number] += mass_g
        for line in self._shaking:
            if line.speed > STANDSTILL:
                force_g += line.build.shake_g * sin(line.angle)
        reads_g, rate_g_per_s = self._reads_g, self._rate_g_per_s
        pull = self._stiffness * ((self.glass_g or 0.0) + force_g - reads_g)
        rate_g_per_s += (pull - self._drag * rate_g_per_s) * STEP_S
        reads_g += rate_g_per_s * STEP_S
        self._reads_g, self._rate_g_per_s = reads_g, rate_g_per_s
        self._window.append(reads_g)
        if now_s >= self._due_s:
            self._due_s += self._period_s
            mean_g = sum(self._window) / len(self._window) + self._random.gauss(0, build.noise_g)
            mean_g += build.hum_g * sin(2 * pi * build.hum_hz * now_s)
            if self._converting:
                board.convert(round(ZERO_COUNTS + build.counts_per_g * mean_g), now_s)


class _Board:
    """Sections 2 to 6 of protocol/SPEC.md, as far as a pour over a faultless line needs them."""

    def __init__(self, build: PlantBuild) -> None:
        self._build = build
        self._reader = LineReader(HOST_LINE_MAX)
        self._open = self._latched = False
        self._run: m.Run | None = None
        self._began_s = self._until_s = self._lease_until_s = 0.0
        self._events = self._conversions = self._counts = 0
        self._converted_s = 0.0
        self._direction, self._ended_s = m.Direction.FORWARD, 0.0
        self._last: tuple[int, int, m.StopCause | None] = (0, 0, None)
        self.out = b""

    def drive(self, channel: int) -> float:
        """Share of full drive on a channel's motor, negative in reverse."""
        if self._run is None or self._run.channel != channel:
            return 0.0
        return self._run.speed / 255 if self._run.direction is m.Direction.FORWARD else -self._run.speed / 255

    def hear(self, data: bytes, now_s: float) -> None:
        for body in self._reader.feed(data):
            command, seq = decode_command(body), request_seq(body)
            if command is not None and seq is not None:
                self.out += encode_from_board(m.Reply(seq, self._carry_out(command, now_s)))

    def watch(self, now_s: float) -> None:
        """End a run that is over."""
        if self._run is None:
            return
        above = self._counts >= self._run.ceiling_counts
        past = above if self._run.ceiling_above else self._counts <= self._run.ceiling_counts
        if now_s - self._converted_s > BLIND_S:
            self._stop(m.StopCause.ADC, now_s)
        elif past or self._is_too_low():
            self._stop(m.StopCause.CEILING, now_s)
        elif now_s >= self._until_s:
            self._stop(m.StopCause.TIME, now_s)
        elif now_s >= self._lease_until_s:
            self._stop(m.StopCause.LEASE, now_s)

    def _is_too_low(self) -> bool:
        """The limit is on the side of an empty platform, whichever way round the cell is wired."""
        if self._build.counts_per_g > 0:
            return self._counts < LOWEST_COUNTS
        return self._counts > 2 * ZERO_COUNTS - LOWEST_COUNTS

    def convert(self, counts: int, now_s: float) -> None:
        """A conversion has ended."""
        self._counts, self._converted_s = counts, now_s
        self._conversions = (self._conversions + 1) % 65536
        mask = 1 << (self._run.channel - 1) if self._run else 0
        if self._open:
            sample = m.Sample(round(now_s * 1000), self._conversions, counts, mask, latched=self._latched)
            self.out += encode_from_board(sample)

    def _carry_out(self, command: m.Command | m.Refusal, now_s: float) -> m.ReplyBody:
        build = self._build
        match command:
            case m.Refusal():
                return m.Refused(command)
            case m.Hello():
                self._stop(m.StopCause.SESSION, now_s)
                self._open = True
                abilities = frozenset(build.abilities)
                return m.Identity(
                    2, "2.0", "second", 8, build.rate_hz, 0, 2**23 - 1, abilities, None, m.ResetCause.POWER
                )
            case m.Stop():
                self._stop(m.StopCause.HOST, now_s)
            case m.EmergencyStop():
                self._latched = True
                self._stop(m.StopCause.ESTOP, now_s)
            case m.ReleaseEmergencyStop():
                self._latched = False
            case m.AskState():
                running = frozenset({self._run.channel} if self._run else ())
                return m.BoardState(running, self._latched, *self._last, self._events)
            case m.Run() if self._latched:
                return m.Refused(m.Refusal.LATCHED)
            case m.Run(channel) if self._run and self._run.channel != channel:
                return m.Refused(m.Refusal.BUSY)
            case m.Run(speed=speed) if speed != 255 and "v" not in build.abilities:
                return m.Refused(m.Refusal.ABILITY)
            case m.Run(direction=m.Direction.REVERSE) if "r" not in build.abilities:
                return m.Refused(m.Refusal.ABILITY)
            case m.Run(direction=direction) if self._turns_back(direction, now_s):
                return m.Refused(m.Refusal.BUSY)
            case m.Run(lease_ms=lease_ms, max_ms=max_ms):
                self._began_s = self._began_s if self._run else now_s
                self._direction = command.direction
                self._run = command
                self._until_s, self._lease_until_s = now_s + max_ms / 1000, now_s + lease_ms / 1000
            case m.Keep(number, lease_ms):
                if self._run and self._run.number == number:
                    self._lease_until_s = now_s + lease_ms / 1000
            case _:
                return m.Refused(m.Refusal.VERB)
        return m.Done()

    def _turns_back(self, direction: m.Direction, now_s: float) -> bool:
        return direction is not self._direction and (
            self._run is not None or now_s - self._ended_s < REVERSAL_S
        )

    def _stop(self, cause: m.StopCause, now_s: float) -> None:
        if self._run is None:
            return
        self._ended_s = now_s
        number, channel = self._run.number, self._run.channel
        self._last = (number, channel, cause)
        ran_ms = round(1000 * (now_s - self._began_s))
        report = m.Stopped(number, channel, cause, round(now_s * 1000), ran_ms)
        self._run = None
        self.out += encode_from_board(m.Event(self._events, report))
        self._events = (self._events + 1) % 256
