"""Something falls into the glass, or a hand leans on it: a step in the readings that no flow explains.

A reading that leaves the line is under suspicion, and so are those after it, for `LOOK_S` and
`LOOK_READINGS`. If they lie a constant distance from the line, that is a step; if they drift away from it,
the flow has changed. An impact rings the platform, so both are judged by Hann-weighted means. A flow that
broke off for a moment, as with a bubble in the tube, looks like a step down.
"""

from dataclasses import dataclass, field
from math import sqrt

from tarewell.weighing.estimator import Estimate
from tarewell.weighing.taper import hann_mean

LOOK_S = 0.45
LEAST_G = 1.0
"""A step below this is not told from ripple and vibration..."""

SIGMAS = 4.0
"""...nor one below this many standard deviations of the readings about their line."""

DRIFT_SHARE = 0.12
"""Early and late readings under suspicion may differ by this share of the step."""

RINGING_SHARE = 0.35
"""A step below this share of the ringing about it is not told from what the means leave of the ringing."""

LOOK_READINGS = 10
SKIPPED_READINGS = 4
"""The converter shows all of a step after this many (data sheet of the HX711: four conversions)."""


@dataclass(slots=True)
class StepTest:
    """Looks at each reading's distance from the line; collects those under suspicion."""

    suspects: list[tuple[float, float]] = field(default_factory=list)
    """Board time in s, and distance from the line in g."""
    missed_g: float = 0.0
    """What flows that broke off have left out with this glass."""

    def suspicious(self, away_g: float, line: Estimate) -> bool:
        """Whether to keep a reading so far from the line out of it until `judge` has decided."""
        if self.suspects:
            return True
        return abs(away_g) >= LEAST_G and abs(away_g) >= SIGMAS * line.scatter_g

    def add(self, t_s: float, away_g: float) -> None:
        """Collect a suspicious reading."""
        self.suspects.append((t_s, away_g))

    @property
    def due(self) -> bool:
        """Whether enough has been seen."""
        seen = self.suspects
        return len(seen) >= LOOK_READINGS and seen[-1][0] - seen[0][0] >= LOOK_S

    @property
    def settled_s(self) -> float:
        """From when on the readings show all of the step."""
        return self.suspects[SKIPPED_READINGS][0]

    def judge(self) -> float:
        """The step in g, 0 if there is none; the suspects stay until `clear`."""
        away_g = [away for _, away in self.suspects[SKIPPED_READINGS:]]
        third = len(away_g) // 3
        step_g = hann_mean(away_g)
        drift_g = hann_mean(away_g[third:]) - hann_mean(away_g[: len(away_g) - third])
        steady = abs(drift_g) <= DRIFT_SHARE * abs(step_g)
        ringing_g = sqrt(sum((away - step_g) ** 2 for away in away_g) / len(away_g))
        clear = abs(step_g) >= max(LEAST_G, RINGING_SHARE * ringing_g)
        return step_g if steady and clear else 0.0

    def mass_g(self, step_g: float, added_g: float, flow_g_per_s: float) -> float:
        """The part of a step that came onto the platform or left it, in g, where `added_g` lie besides the
        drink and a pump delivers `flow_g_per_s`.

        A step down that the flow can have left out in the time was never there, unless something was added
        before. A step up first undoes such steps: then a hand had taken the weight off.
        """
        if step_g > 0.0:
            undone_g = min(step_g, self.missed_g)
            self.missed_g -= undone_g
            return step_g - undone_g
        if -step_g > LOOK_S * flow_g_per_s:
            return step_g
        taken_g = min(-step_g, max(added_g, 0.0))
        self.missed_g -= step_g + taken_g
        return -taken_g

    def forget(self) -> None:
        """Another glass may come."""
        self.missed_g = 0.0

    def clear(self) -> None:
        """No reading is under suspicion."""
        self.suspects.clear()
