"""Everything a pour starts from, stored with its record so that the pour can be replayed."""

from dataclasses import dataclass, field

from tarewell.weighing.calibration import Calibration
from tarewell.weighing.scale import ScaleRating
from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN, Direction, Run

from .inflight import InFlight
from .plan import PourPlan
from .tolerance import SETTING_SHARE
from .uncertainty import SeenDrips


@dataclass(frozen=True, slots=True)
class DosingSettings:
    """How carefully and how patiently to pour. Times in s, masses in g, flows in g/s, speeds 1 to 255."""

    accuracy_class: float = 0.5
    """x of class X(x) in OIML R 61; sets the tolerance of each dose."""
    aim_share: float = SETTING_SHARE
    """A dose is topped up when it is short by more than this share of its tolerance..."""
    min_aim_g: float = 0.3
    """...or by more than this, whichever is larger."""
    max_jogs: int = 3
    coarse_speed: int = 255
    fine_speed: int = 100
    """The fine feed's first speed in a channel; then as the channel teaches."""
    learn_speeds: bool = True
    """Learn the flow at each speed; otherwise it counts as proportional to the speed."""
    fine_s: float = 0.9
    """How long the fine feed should last when it is used."""
    flow_window_s: float = 0.8
    settling_delay_s: float = 0.4
    """After a stop no reading counts as rest for this long, while the pump coasts and the jet still lands."""
    rest_window_s: float = 0.45
    rest_band_g: float = 0.08
    tare_window_s: float = 0.6
    lease_ms: int = 400
    renew_s: float = 0.1
    stale_s: float = 0.25
    min_glass_g: float = 20.0
    glass_wait_s: float = 120.0
    rest_wait_s: float = 6.0
    no_flow_s: float = 5.0
    max_feed_s: float = 60.0
    ceiling_margin_g: float = 30.0
    keep_taste: bool = True
    """Rescale the remaining doses when one misses, where the plan asks for it."""
    suck_back_g: float = 0.0
    """What the pump draws back after the verdict, where the board can reverse it; 0: nothing."""
    prime_g: float = 10.0
    """What a prime delivers into the cup after the tube has filled."""
    prime_wait_s: float = 20.0
    """How long an empty tube may take to fill."""
    max_purge_g: float = 100.0
    """More than a tube holds: a purge that delivers this still has its bottle on."""
    jump_g: float = 15.0
    """A reading this far from the fitted line is not liquid."""


@dataclass(frozen=True, slots=True)
class PourSetup:
    """Plan, scale, board and knowledge at the start of a pour.

    `known` is keyed by channel; a channel without an entry is unknown and poured cautiously. `drips` is what
    fell after the verdict on earlier doses, by channel.
    """

    plan: PourPlan
    calibration: Calibration
    rating: ScaleRating = field(default_factory=ScaleRating)
    sample_rate_hz: float = 80
    filter_delay_s: float | None = None
    """How far a reading lies behind the load, as the board tells; None: it does not know."""
    variable_speed: bool = True
    reversible: bool = False
    known: dict[int, InFlight] = field(default_factory=dict)
    settings: DosingSettings = field(default_factory=DosingSettings)
    drips: dict[int, SeenDrips] = field(default_factory=dict)

    def run(self, channel: int, speed: int, ceiling_g: float, max_s: float) -> Run:
        """The command that lets a pump run at this speed, 1 to 255, for at most `max_s`; the board stops it
        at `ceiling_g` on the platform."""
        ceiling_counts = round(self.calibration.counts(ceiling_g))
        return Run(
            channel=channel,
            direction=Direction.FORWARD,
            speed=speed,
            lease_ms=self.settings.lease_ms,
            ceiling_counts=min(max(ceiling_counts, COUNTS_MIN), COUNTS_MAX),
            max_ms=round(1000 * max_s),
            ceiling_above=self.calibration.counts_per_g > 0,
        )
