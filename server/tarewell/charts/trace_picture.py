"""The trace of a pour as a picture needs it: readings, steps, targets and alarms over the seconds from tare.

All times are on the board's clock, as in control; what the host noted is placed there by the samples.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TypeVar

from tarewell.dosing import events as e
from tarewell.dosing.alarms import Alarm
from tarewell.dosing.plan import Purpose
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import FEEDING, PourState
from tarewell.dosing.tolerance import permissible_deviation_g
from tarewell.dosing.traces import Trace
from tarewell.weighing.reading import Reading
from tarewell.weighing.scale import Scale

from .thinning import Readings

_WITH_CAUSE = frozenset({PourState.HOLDING, PourState.HELD, PourState.STOPPING, PourState.ABORTING})
SpanT = TypeVar("SpanT", "StepSpan", "TargetSpan")

_WITHOUT_DOSE = frozenset({PourState.IDLE, PourState.AWAITING_GLASS, PourState.TARING})
_ENDED = frozenset({PourState.COMPLETE, PourState.STOPPED, PourState.ABORTED})


@dataclass(frozen=True, slots=True)
class StepSpan:
    """The pour was in a state from `from_s` to `to_s` (None: it still is). `dose` counts from 0; `cause` is
    the alarm or the command that led out of the pour's course."""

    step: PourState
    from_s: float
    to_s: float | None
    dose: int | None
    cause: str | None


@dataclass(frozen=True, slots=True)
class TargetSpan:
    """A dose is under way. It begins at `start_g` and is to end at `start_g + target_g`, give or take
    `tolerance_g` (None: it is no drink); `planned_g` is the target before it was rescaled."""

    dose: int
    from_s: float
    to_s: float | None
    start_g: float
    target_g: float
    planned_g: float
    tolerance_g: float | None


@dataclass(frozen=True, slots=True)
class RaisedAt:
    """An alarm, when it was raised."""

    at_s: float
    alarm: Alarm


@dataclass(frozen=True, slots=True)
class RescaledAt:
    """The targets of the doses from `from_dose` on became these."""

    at_s: float
    from_dose: int
    targets_g: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TracePicture:
    """A pour over the seconds from tare (from its first entry if there was none); masses are net, in g."""

    glass_g: float | None
    readings: Readings
    steps: tuple[StepSpan, ...]
    targets: tuple[TargetSpan, ...]
    rescaled: tuple[RescaledAt, ...]
    alarms: tuple[RaisedAt, ...]

    @property
    def cut_offs_s(self) -> tuple[float, ...]:
        """When a feed ended, jogs included."""
        pairs = pairwise(self.steps)
        return tuple(
            after.from_s for before, after in pairs if before.step in FEEDING and after.step not in FEEDING
        )


def picture_of(trace: Trace, setup: PourSetup) -> TracePicture:
    """The picture of a trace, as far as it was written."""
    drawing = _Drawing(setup)
    for entry in trace:
        drawing.take(entry.now_s, entry.item)
    return drawing.picture()


@dataclass(slots=True)
class _Drawing:
    """Follows a trace. Times are the board's until the picture is taken."""

    setup: PourSetup
    steps: list[StepSpan] = field(default_factory=list)
    targets: list[TargetSpan] = field(default_factory=list)
    rescaled: list[RescaledAt] = field(default_factory=list)
    alarms: list[RaisedAt] = field(default_factory=list)
    _scale: Scale = field(init=False)
    _targets_g: list[float] = field(init=False)
    _weighed: list[Reading] = field(default_factory=list)
    _early: list[tuple[float, e.PourEvent | e.PourOutput]] = field(default_factory=list)
    """What came before the first sample, which tells the board's time."""
    _tare_s: float | None = None
    _glass_g: float | None = None
    _level_g: float = 0.0
    """What the doses so far have left on the platform."""
    _dose: int | None = None
    _cause: str | None = None

    def __post_init__(self) -> None:
        self._scale = Scale(self.setup.calibration, self.setup.rating)
        self._targets_g = [dose.target_g for dose in self.setup.plan.doses]

    def take(self, now_s: float, item: e.PourEvent | e.PourOutput) -> None:
        """The next entry."""
        if isinstance(item, e.Weighed):
            reading = self._scale.take(item.sample, now_s)
            if not self._weighed or reading.t_s > self._weighed[-1].t_s:
                self._weighed.append(reading)
            self._take_early(reading)
            self._cause = None
        elif self._scale.reading is None:
            self._early.append((now_s, item))
        else:
            self._note(self._scale.reading.board_s(now_s), item)

    def _take_early(self, reading: Reading) -> None:
        early, self._early = self._early, []
        for now_s, item in early:
            self._note(reading.board_s(now_s), item)

    def _note(self, at_s: float, item: e.PourEvent | e.PourOutput) -> None:
        match item:
            case e.PourCommanded(command):
                self._cause = command.value
            case e.PourStateChanged(state):
                self._enter(at_s, PourState(state))
            case e.Tared(glass_g) if self._tare_s is None:
                self._tare_s, self._glass_g = at_s, glass_g
            case e.DoseBegan(index):
                self._begin(at_s, index)
            case e.DoseEnded():
                self._level_g += item.delivered_g
                self._close_target(at_s)
            case e.Balanced():
                self._level_g += item.added_g
            case e.Rescaled(from_dose, _, targets_g):
                self._targets_g[from_dose:] = targets_g
                self.rescaled.append(RescaledAt(at_s, from_dose, targets_g))
            case e.Raised(alarm):
                self._cause = alarm.name
                self.alarms.append(RaisedAt(at_s, alarm))

    def _enter(self, at_s: float, state: PourState) -> None:
        cause = self._cause
        if self.steps:
            cause = cause or self.steps[-1].cause
            self.steps[-1] = replace(self.steps[-1], to_s=at_s)
        if state not in _ENDED:
            dose = None if state in _WITHOUT_DOSE else self._dose
            self.steps.append(StepSpan(state, at_s, None, dose, cause if state in _WITH_CAUSE else None))

    def _begin(self, at_s: float, index: int) -> None:
        self._dose = index
        if self.steps and self.steps[-1].from_s == at_s and self.steps[-1].step in FEEDING:
            self.steps[-1] = replace(self.steps[-1], dose=index)
        plan, target_g = self.setup.plan, self._targets_g[index]
        tolerance_g = None
        if plan.purpose is Purpose.DRINK:
            tolerance_g = permissible_deviation_g(target_g, self.setup.settings.accuracy_class)
        planned_g = plan.doses[index].target_g
        self.targets.append(TargetSpan(index, at_s, None, self._level_g, target_g, planned_g, tolerance_g))

    def _close_target(self, at_s: float) -> None:
        if self.targets:
            self.targets[-1] = replace(self.targets[-1], to_s=at_s)

    def picture(self) -> TracePicture:
        """What was drawn so far, its times from tare."""
        for now_s, item in self._early:  # no sample ever came: the host's clock must do
            self._note(now_s, item)
        begin_s = self._tare_s
        if begin_s is None:
            begin_s = self.steps[0].from_s if self.steps else 0.0
        tare_g = self._glass_g or 0.0
        return TracePicture(
            glass_g=self._glass_g,
            readings=Readings(
                [reading.t_s - begin_s for reading in self._weighed],
                [reading.gross_g - tare_g for reading in self._weighed],
            ),
            steps=_moved(self.steps, begin_s),
            targets=_moved(self.targets, begin_s),
            rescaled=tuple(replace(one, at_s=one.at_s - begin_s) for one in self.rescaled),
            alarms=tuple(replace(one, at_s=one.at_s - begin_s) for one in self.alarms),
        )


def _moved(spans: Iterable[SpanT], begin_s: float) -> tuple[SpanT, ...]:
    return tuple(
        replace(span, from_s=span.from_s - begin_s, to_s=None if span.to_s is None else span.to_s - begin_s)
        for span in spans
    )
