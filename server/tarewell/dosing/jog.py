"""What jogs deliver: nothing for a dead time while the pump runs up, then the flow.

A jog longer than the last adds flow times the extra time, so the dead time itself need not be known. A
shorter one delivers at most its share of the last: mass over time is convex. Where no feed has shown the flow
it is assumed to exceed any pump's or, once two jogs have shown it, to be somewhat more than they showed.
"""

from dataclasses import dataclass

MAX_FLOW_G_PER_S = 25.0
"""More than any pump of this kind delivers."""

MIN_JOG_S = 0.03
MAX_JOG_S = 0.8
MAX_GROWTH = 3.0
"""A jog is at most this many times as long as the one before it."""

AIM_SHARE = 0.85
"""Share of what is missing that a jog aims for: a dose can be topped up again, never taken back."""

APART_S = 0.02
"""Two jogs whose lengths differ by less do not show the flow."""

RUN_UP_FACTOR = 1.3
"""The pump may still be gaining speed at the end of both."""

MIN_RUN_S = 0.2
MIN_MASS_G = 0.3
"""A single jog that ran or delivered less than this is mostly dead time and does not show the flow."""


@dataclass(slots=True)
class JogModel:
    """The jogs of one dose at one speed: how long the last ran, what it delivered, and the flow between the
    last two.

    A known flow is one that a feed has shown; 0: none has.
    """

    ran_s: float = 0.0
    gave_g: float = 0.0
    slope_g_per_s: float = 0.0

    @property
    def flow_g_per_s(self) -> float:
        """Flow as the jogs show it, erring low; 0 if they show none."""
        usable = self.ran_s >= MIN_RUN_S and self.gave_g > MIN_MASS_G
        return self.slope_g_per_s or (self.gave_g / self.ran_s if usable else 0.0)

    def next_s(self, missing_g: float, known_g_per_s: float) -> float:
        """How long the next jog should run with `missing_g` missing."""
        aim_g = AIM_SHARE * missing_g
        flow = known_g_per_s or RUN_UP_FACTOR * self.slope_g_per_s or MAX_FLOW_G_PER_S
        if aim_g < self.gave_g:
            wanted_s = self.ran_s * aim_g / self.gave_g
        else:
            wanted_s = self.ran_s + (aim_g - self.gave_g) / flow
        longest_s = min(MAX_JOG_S, MAX_GROWTH * self.ran_s) if self.ran_s else MAX_JOG_S
        return min(max(wanted_s, MIN_JOG_S), longest_s)

    def shortest_g(self, known_g_per_s: float) -> float:
        """What the shortest jog may deliver, by the last one or by the flow."""
        return MIN_JOG_S * (self.gave_g / self.ran_s if self.ran_s else known_g_per_s)

    def learn(self, ran_s: float, gave_g: float) -> None:
        """Learn from a jog of `ran_s` that delivered `gave_g`; a negative mass is noise."""
        gave_g = max(gave_g, 0.0)
        if self.ran_s and abs(ran_s - self.ran_s) >= APART_S:
            self.slope_g_per_s = max((gave_g - self.gave_g) / (ran_s - self.ran_s), gave_g / ran_s)
        self.ran_s, self.gave_g = ran_s, gave_g
