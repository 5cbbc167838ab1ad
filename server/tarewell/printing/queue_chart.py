"""The chart of the queue: people at the bar over the evening, as coordinates of an SVG drawing."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Self

from tarewell.menu.evening_queue import Queue

WIDTH, HEIGHT = 720, 242
LEFT, RIGHT, TOP, BOTTOM = 40, 14, 42, 36

_STEPS_MIN = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 480, 960, 1920)
_STEPS_PEOPLE = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
_TICKS_ACROSS, _TICKS_UP = 12, 5
_LABEL = 40
_IN_HOURS_S = 12 * 3600
"""From here on the ticks are whole hours."""


@dataclass(frozen=True, slots=True)
class AxisTick:
    """A tick on an axis: its place and label."""

    at: float
    label: str


@dataclass(frozen=True, slots=True)
class QueueChart:
    """The coordinates of the chart. `often` is the line of half the evenings, `seldom` that of 95 %, both
    stepped; `area` closes `seldom` to the axis."""

    often: str
    seldom: str
    area: str
    times: tuple[AxisTick, ...]
    time_unit: str
    people: tuple[AxisTick, ...]
    closing_x: float
    peak_x: float
    peak_width: float
    peak_anchor: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    bottom: int = HEIGHT - BOTTOM

    @classmethod
    def of(cls, queue: Queue, open_s: float) -> Self:
        """The chart of a queue at a bar that is open for `open_s`."""
        until_s = queue.moments[-1].at_s
        step = _step(_STEPS_PEOPLE, queue.max_at_the_bar.p95, _TICKS_UP)
        most = step * max(ceil(queue.max_at_the_bar.p95 / step), 1)

        def x(at_s: float) -> float:
            return round(LEFT + (WIDTH - LEFT - RIGHT) * at_s / until_s, 1)

        def y(people: float) -> float:
            return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * people / most, 1)

        def line(heights: Sequence[int]) -> str:
            return _stairs([x(moment.at_s) for moment in queue.moments], [y(height) for height in heights])

        peak_x, peak_end = x(queue.peak_from_s), x(queue.peak_to_s)
        in_hours = until_s > _IN_HOURS_S
        minutes = _step(_STEPS_MIN, until_s / 60, _TICKS_ACROSS)
        seldom = line([moment.p95 for moment in queue.moments])
        return cls(
            often=line([moment.median for moment in queue.moments]),
            seldom=seldom,
            area=f"{seldom} V{y(0)} H{x(0)} Z",
            times=tuple(
                AxisTick(x(minute * 60), str(minute // 60 if in_hours else minute))
                for minute in range(0, int(until_s / 60) + 1, minutes)
            ),
            time_unit="hours" if in_hours else "minutes",
            people=tuple(AxisTick(y(count), str(count)) for count in range(0, most + 1, step)),
            closing_x=x(open_s),
            peak_x=peak_x,
            peak_width=round(peak_end - peak_x, 1),
            peak_anchor=_anchor((peak_x + peak_end) / 2),
        )


def _step(steps: Sequence[int], most: float, ticks: int) -> int:
    return next((step for step in steps if most / step <= ticks), steps[-1])


def _anchor(at: float) -> str:
    """The anchor of a label at a place, so that it stays within the chart."""
    if at < LEFT + _LABEL:
        return "start"
    return "end" if at > WIDTH - RIGHT - _LABEL else "middle"


def _stairs(xs: Sequence[float], ys: Sequence[float]) -> str:
    """An SVG path with steps that keep each height until the next place."""
    path = [f"M{xs[0]} {ys[0]}"]
    for at, (before, height) in zip(xs[1:], pairwise(ys), strict=True):
        path.append(f"H{at}" if before == height else f"H{at} V{height}")
    return " ".join(path)
