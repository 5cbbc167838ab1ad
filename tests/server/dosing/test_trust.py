"""How small a dose a channel is trusted with."""

import pytest

from tarewell.dosing.inflight import InFlight
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.tolerance import permissible_deviation_g
from tarewell.dosing.trust import smallest_dose_g

SETTINGS = DosingSettings()


def test_the_tolerance_of_the_smallest_dose_takes_two_spreads_of_the_fine_feed() -> None:
    known = InFlight(lag_s=0.3, spread_s=0.04, flow_g_per_s=20.0, count=2)
    dose_g = smallest_dose_g(known, SETTINGS)
    fine_g_per_s = 20.0 * SETTINGS.fine_speed / SETTINGS.coarse_speed
    assert permissible_deviation_g(dose_g, SETTINGS.accuracy_class) == pytest.approx(
        2 * known.spread_g(fine_g_per_s)
    )


def test_a_channel_gains_trust_as_its_stops_agree() -> None:
    known, smallest_g = InFlight().with_flow(20.0), []
    for _ in range(8):
        known = known.learn(observed_g=6.0, flow_g_per_s=20.0)
        smallest_g.append(smallest_dose_g(known, SETTINGS))
    assert smallest_g == sorted(smallest_g, reverse=True)
    assert smallest_g[0] > 2 * smallest_g[-1]


def test_no_channel_is_trusted_with_drops() -> None:
    assert smallest_dose_g(InFlight(), SETTINGS) == 2.0
    assert smallest_dose_g(InFlight(0.3, 0.0, 5.0, 9), SETTINGS) == 2.0
