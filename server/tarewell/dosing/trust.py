"""The smallest dose that a channel is trusted with, by what its stops have taught."""

from .inflight import InFlight
from .plan import SMALLEST_DOSE_G
from .setup import DosingSettings
from .speeds import fine_speed, share_at
from .tolerance import permissible_deviation_g


def smallest_dose_g(known: InFlight, settings: DosingSettings) -> float:
    """Smallest dose in g whose tolerance covers two learned spreads of a stop from the fine feed.

    Never below `SMALLEST_DOSE_G`. The tolerance of OIML R 61 is a share of the fill up to 50 g, where all
    results of a peristaltic pump lie. A board without variable speed has no fine feed and scatters more.
    """
    share = permissible_deviation_g(1.0, settings.accuracy_class)
    speeds = known.speeds if settings.learn_speeds else ()
    speed = fine_speed(speeds, settings.fine_speed, settings.coarse_speed)
    fine_g_per_s = known.flow_g_per_s * share_at(speeds, speed, settings.coarse_speed)
    return max(SMALLEST_DOSE_G, 2 * known.spread_g(fine_g_per_s) / share)
