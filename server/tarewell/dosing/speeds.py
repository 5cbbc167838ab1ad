"""What a channel has taught about its speeds: the flow at each, and where the pump no longer turns.

Under a pulsed bridge a motor's speed is not proportional to the drive, and below some drive it stands
(docs/build/power.md). So flow is kept for each speed that was used, as a share of the flow at full speed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

FINE_SHARE = 1 / 3
"""The flow that a fine feed should have, as a share of that at full speed."""

FINE_ENOUGH = (0.2, 0.5)
"""A share within these needs no other speed."""

SLOWER = 0.8
"""Where nothing is known of lower speeds, the next fine speed is at least this share of the slowest known."""

GAIN = 0.5


@dataclass(frozen=True, slots=True, order=True)
class SpeedFlow:
    """The flow at a speed, 1 to 255, as a share of that at full speed; 0: the pump did not turn."""

    speed: int
    share: float


def with_share(known: Sequence[SpeedFlow], speed: int, share: float) -> tuple[SpeedFlow, ...]:
    """With half of the change to this share; a speed at which the pump did not turn is remembered as such."""
    before = next((point.share for point in known if point.speed == speed), 0.0)
    share = before + GAIN * (share - before) if before and share else share
    others = [point for point in known if point.speed != speed]
    return tuple(sorted([*others, SpeedFlow(speed, share)]))


def share_at(known: Sequence[SpeedFlow], speed: int, full_speed: int) -> float:
    """Flow at a speed as a share of that at full speed, where nothing is known below it in proportion.

    Between two known speeds it is on a line over 1 / speed: where each pulse reaches its full current, a load
    is carried at a voltage that falls short by load / duty. Shorter pulses give less, so this errs high.
    """
    if speed >= full_speed:
        return speed / full_speed
    below, above = _neighbours(known, full_speed, lambda point: point.speed <= speed)
    part = (speed - below.speed) / (above.speed - below.speed)
    if below.speed > 0:
        part *= above.speed / speed
    return below.share + part * (above.share - below.share)


def most_share(known: Sequence[SpeedFlow], speed: int) -> float:
    """The largest share that this speed may have: that of the slowest speed known from there on, else the
    full flow. A motor under long pulses, with little load, hardly slows down."""
    return min((point.share for point in known if point.speed >= speed and point.share > 0), default=1.0)


def fine_speed(known: Sequence[SpeedFlow], first: int, full_speed: int) -> int:
    """The speed for the fine feed: `first` until something is known, then the one that should give about a
    third of the full flow, above any at which the pump did not turn; on a straight line, which errs to the
    fast side, where the pump turns."""
    if not known or first >= full_speed:
        return first
    least, most = FINE_ENOUGH
    if enough := [point for point in known if least <= point.share <= most and point.speed < full_speed]:
        return min(enough, key=lambda point: abs(point.share - FINE_SHARE)).speed
    below, above = _neighbours(known, full_speed, lambda point: point.share < FINE_SHARE)
    part = (FINE_SHARE - below.share) / (above.share - below.share)
    speed = below.speed + part * (above.speed - below.speed)
    if below.speed == 0:
        speed = max(speed, SLOWER * above.speed)
    return min(max(round(speed), below.speed + 1), full_speed)


def _neighbours(
    known: Sequence[SpeedFlow], full_speed: int, is_below: Callable[[SpeedFlow], bool]
) -> tuple[SpeedFlow, SpeedFlow]:
    """The last point that is below, and the one after it; standstill and full speed are points, too."""
    between = (point for point in known if point.speed < full_speed)
    points = [SpeedFlow(0, 0.0), *between, SpeedFlow(full_speed, 1.0)]
    last = max(index for index, point in enumerate(points) if is_below(point))
    return points[last], points[last + 1]
