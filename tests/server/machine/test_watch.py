"""The watch over readings: what it must find, and a hundred nights in which it must find nothing.

The readings come from a model of the load alone: what lies on the platform, its ringing, the converter's
delay and noise; the flow is that of the line fit, as on the machine.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from math import cos, exp, pi, sin
from random import Random

import pytest

from tarewell.machine.watch import Finding, FindingKind, Watch, Watched, WatchState
from tarewell.typed_json import dump, load
from tarewell.weighing.recent import RecentReadings

Mass = Callable[[float], float]

WINDOW_S = 0.5
ONE, THREE = 0b001, 0b100


def _readings(
    mass_g: Mass, seconds: float, rate_hz: int, random: Random, from_s: float = 0.0
) -> Iterator[Watched]:
    """Readings of a load in g as a function of time in s, two conversions late."""
    recent, delay_s = RecentReadings(), 2 / rate_hz
    for number in range(round(seconds * rate_hz)):
        t_s = from_s + number / rate_hz
        recent.add(t_s, mass_g(t_s - delay_s) + random.gauss(0, 0.02))
        yield Watched(t_s, 0, recent.line(WINDOW_S, t_s))


def _flow(random: Random, from_s: float, g_per_s: float) -> Mass:
    """A flow that begins, with a pump's ripple of half its size nine times a second."""
    share, phase = random.uniform(0, 0.5), random.uniform(0, 2 * pi)

    def mass_g(t_s: float) -> float:
        on_s = max(0.0, t_s - from_s)
        return g_per_s * (on_s - share * (cos(2 * pi * 9 * on_s + phase) - cos(phase)) / (2 * pi * 9))

    return mass_g


def _found(watch: Watch, readings: Iterator[Watched]) -> list[tuple[float, Finding]]:
    found = []
    for seen in readings:
        line = seen.line if watch.wants_line(seen.t_s) else None
        found += [(seen.t_s, finding) for finding in watch.check(replace(seen, line=line))]
    return found


@pytest.mark.parametrize("rate_hz", [10, 80])
@pytest.mark.parametrize("kind", [FindingKind.RISING, FindingKind.FALLING])
def test_a_flow_without_a_pump_is_told_once_within_3_s_or_3_g(kind: FindingKind, rate_hz: int) -> None:
    random, way = Random(41), 1 if kind is FindingKind.RISING else -1
    for _ in range(25):
        size = random.choice((0.2, 0.3, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0))
        from_s = random.uniform(1.5, 3.0)
        rise = _flow(random, from_s, size)
        readings = _readings(
            lambda t_s, rise=rise: 250 + way * rise(t_s), from_s + 3 + 3 / size, rate_hz, random
        )
        ((found_s, finding),) = _found(Watch(), readings)
        assert finding.kind is kind
        assert from_s < found_s <= from_s + max(3.0, 3.0 / size)
        assert finding.flow_g_per_s is not None
        assert way * finding.flow_g_per_s > 0 < way * finding.change_g


def _still(seconds: float = 2.0) -> list[Watched]:
    return list(_readings(lambda _: 250.0, seconds, 80, Random(42)))


def test_a_pump_that_nobody_commanded_is_found_at_once_and_again_after_it_was_off() -> None:
    readings = [replace(seen, running=THREE if seen.t_s % 1 >= 0.5 else 0) for seen in _still()]
    found = _found(Watch(), iter(readings))
    assert [(t_s, finding.kind, finding.channel) for t_s, finding in found] == [
        (0.5, FindingKind.UNCOMMANDED_PUMP, 3),
        (1.5, FindingKind.UNCOMMANDED_PUMP, 3),
    ]


def test_a_pump_that_still_runs_after_somebody_attended_is_told_again() -> None:
    watch, told = Watch(), []
    for seen in _still():
        if seen.t_s == 1.0:
            watch.reset()
        told += [seen.t_s for _ in watch.check(replace(seen, running=THREE))]
    assert told == [0.0, 1.0]


def test_a_rise_that_was_told_hides_no_running_pump() -> None:
    random, watch = Random(43), Watch()
    readings = list(_readings(_flow(random, 1.0, 2.0), 6.0, 80, random))
    readings = [replace(seen, running=THREE if seen.t_s >= 5 else 0) for seen in readings]
    found = _found(watch, iter(readings))
    assert [finding.kind for _, finding in found] == [FindingKind.RISING, FindingKind.UNCOMMANDED_PUMP]
    assert found[1][0] == 5.0


def test_a_commanded_pump_is_expected_and_may_take_a_moment_to_stop() -> None:
    def at(seen: Watched, off_s: float) -> Watched:
        commanded = 1 if 0.3 <= seen.t_s < 1.0 else None
        return replace(seen, running=ONE if 0.4 <= seen.t_s < off_s else 0, commanded=commanded)

    assert _found(Watch(), (at(seen, 1.5) for seen in _still(3.0))) == []
    ((found_s, finding),) = _found(Watch(), (at(seen, 9.0) for seen in _still(3.0)))
    assert (finding.kind, finding.channel) == (FindingKind.UNCOMMANDED_PUMP, 1)
    assert 1.9 < found_s < 2.2


def test_a_second_pump_beside_the_commanded_one_is_found_at_once() -> None:
    readings = (replace(seen, commanded=1, running=ONE | THREE if seen.t_s > 1 else ONE) for seen in _still())
    ((found_s, finding),) = _found(Watch(), readings)
    assert (finding.kind, finding.channel) == (FindingKind.SECOND_PUMP, 3)
    assert found_s < 1.02


@pytest.mark.parametrize(("share", "told"), [(0.9, 0), (1.25, 0), (2.0, 1)])
def test_a_channel_that_delivers_far_more_than_it_was_taught_is_found(share: float, told: int) -> None:
    random = Random(44)
    readings = _readings(_flow(random, 0.3, 8.0 * share), 8.0, 80, random)
    found = _found(Watch(), (replace(seen, running=ONE, commanded=1, usual_g_per_s=8.0) for seen in readings))
    assert [finding.kind for _, finding in found] == [FindingKind.EXCESS_FLOW] * told


def test_a_person_who_tops_up_is_no_alarm_and_what_comes_afterwards_is() -> None:
    random = Random(45)
    readings = _readings(_flow(random, 1.0, 5.0), 12.0, 80, random)
    found = _found(Watch(), (replace(seen, attended=seen.t_s < 6.0) for seen in readings))
    assert [finding.kind for _, finding in found] == [FindingKind.RISING]
    assert 6.0 < found[0][0] < 11.0


def test_a_rise_before_a_pour_is_no_alarm_after_it() -> None:
    """A second of topping up, a dose of 10 s with drops afterwards, a second of topping up."""
    random = Random(46)
    first, second = _flow(random, 1.0, 5.0), _flow(random, 15.0, 5.0)

    def mass_g(t_s: float) -> float:
        return 250 + min(first(t_s), 5.0) + 8 * min(max(t_s - 3, 0), 10) + min(second(t_s), 5.0)

    pours = (
        replace(
            seen,
            running=ONE if 2.9 <= seen.t_s < 12.9 else 0,
            commanded=1 if 2.8 <= seen.t_s < 12.8 else None,
        )
        for seen in _readings(mass_g, 20.0, 80, random)
    )
    assert _found(Watch(), pours) == []


def test_what_the_watch_remembers_goes_through_json_at_any_reading() -> None:
    random, watch, kept = Random(47), Watch(), Watch()
    rise = _flow(random, 1.0, 0.5)
    for seen in _readings(lambda t_s: 250 + rise(t_s), 8.0, 10, random):
        now = replace(seen, running=THREE if seen.t_s > 7 else 0, commanded=2 if seen.t_s < 0.5 else None)
        kept = Watch(load(WatchState, json.loads(json.dumps(dump(kept.state)))))
        assert kept.check(now) == watch.check(now)
    assert kept.state == watch.state
    assert watch.state.rising.told


@dataclass(frozen=True)
class _Incident:
    """What happens to every machine, a second after `start_s`; masses in g, times in s."""

    kind: str
    random: Random
    start_s: float
    load_g: float
    seconds: float = 5.5
    drift_g_per_s: float = field(init=False)
    step_g: float = field(init=False)
    ring: tuple[float, float, float, float] = field(init=False)
    press: tuple[float, float, float] = field(init=False)
    drops_s: tuple[float, ...] = field(init=False)

    def __post_init__(self) -> None:
        size = self.random.uniform
        steps = {"put": size(150, 450), "take": -self.load_g, "small thing": size(-15, 30)}
        step_g = steps.get(self.kind, 0.0)
        knock_g = {"footfall": size(0.5, 3)}.get(self.kind, 0.4 * step_g)
        drops = self.random.randint(1, 8) if self.kind == "drops" else 0
        values = {
            "drift_g_per_s": 0.02 * exp(-self.start_s / 900),  # a gram a minute when switched on
            "step_g": step_g,
            "ring": (knock_g, size(8, 20), size(2, 6), size(0, 2 * pi)),
            "press": (size(-40, 60), size(0.1, 0.8), size(0, 2)),
            "drops_s": tuple(size(0.0, 3.0) for _ in range(drops)),
        }
        for name, value in values.items():
            object.__setattr__(self, name, value)

    def mass_g(self, t_s: float) -> float:
        on_s = t_s - self.start_s - 1.0
        mass_g = self.load_g + self.drift_g_per_s * (t_s - self.start_s)
        if on_s < 0:
            return mass_g
        knock_g, hz, damping, phase = self.ring
        mass_g += self.step_g + knock_g * exp(-damping * on_s) * sin(2 * pi * hz * on_s + phase)
        mass_g += 0.05 * sum(on_s > drop_s for drop_s in self.drops_s)
        if self.kind == "hand":
            press_g, rise_s, hold_s = self.press
            level = min(1.0, on_s / rise_s, max(0.0, (2 * rise_s + hold_s - on_s) / rise_s))
            mass_g += press_g * level * (1 + 0.15 * sin(2 * pi * 3 * on_s + phase))
        if self.kind == "door":
            mass_g += 0.5 * sin(2 * pi * on_s / 1.5) * exp(-on_s)
        return mass_g


INCIDENTS = ("put", "take", "hand", "footfall", "door", "drops", "small thing", "nothing")


def test_a_hundred_nights_without_incident_raise_no_alarm() -> None:
    for night in range(100):
        random, watch = Random(f"night {night}"), Watch()
        rate_hz, incidents = (80, 8) if night % 10 == 0 else (10, 40)
        at_s = load_g = 0.0
        for _ in range(incidents):
            one = _Incident(random.choice(INCIDENTS), random, at_s, load_g)
            found = _found(watch, _readings(one.mass_g, one.seconds, rate_hz, random, at_s))
            assert found == [], f"night {night}, {one.kind}"
            load_g = one.mass_g(at_s + one.seconds)
            at_s += one.seconds + random.uniform(5, 300)
