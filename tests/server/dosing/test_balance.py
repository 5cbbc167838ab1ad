"""What the runs of a pump explain of the mass on the platform, and how surely."""

import pytest

from tarewell.dosing.balance import DOUBT_SIGMAS, Balance
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.taught import Taught

LINE_S = 1.15
"""Span of a line at ten samples a second."""


def _fed(slopes_g_per_s: list[float], learned_g_per_s: float = 8.0) -> Balance:
    """A feed of 3.3 s that showed these slopes in its last part, a tenth of a second apart."""
    balance = Balance(250.0)
    balance.start(0.0, learned_g_per_s, 0.03, full_speed=True)
    for number, slope in enumerate(slopes_g_per_s):
        balance.note(slope, LINE_S, 3.3 - 0.1 * (len(slopes_g_per_s) - 1 - number))
    balance.stop(3.3)
    return balance


def test_slopes_that_something_spoiled_for_a_span_of_the_line_do_not_explain_it() -> None:
    """5 g fell in; a line over 1.15 s holds them in twelve of eighteen slopes."""
    spoiled = [10.7, 12.0, 12.8, 13.6, 13.0, 12.6, 12.2, 11.5, 10.4, 9.7, 9.2, 8.7]
    balance = _fed([*spoiled, 8.1, 7.7, 7.6, 7.8, 8.0, 8.2])
    excess_g, sigma_g = balance.excess(250.0 + 3.3 * 8.0 + 5.0, 3.3)
    assert excess_g == pytest.approx(5.0)
    assert excess_g > DOUBT_SIGMAS * sigma_g
    assert balance.full_flow_g_per_s == 0.0


def test_a_flow_that_was_seen_to_scatter_is_no_surer_than_its_slopes_agree() -> None:
    """Lost readings leave the rollers' pulses in the line; steady ones show the flow as it is."""
    pulsing = _fed([6.2, 11.2, 5.8, 9.3, 12.6, 6.4, 7.5, 11.0] * 4)
    steady = _fed([8.3, 8.4, 8.5, 8.4] * 8)
    assert pulsing.full_flow_g_per_s == 0.0
    assert pulsing.excess(250.0 + 3.3 * 8.0, 3.3)[0] == pytest.approx(0.0)
    assert steady.full_flow_g_per_s == pytest.approx(8.4)
    assert steady.excess(250.0 + 3.3 * 8.4, 3.3)[0] == pytest.approx(0.0)


def test_a_run_at_a_speed_that_nobody_measured_may_give_the_full_flow_and_no_more() -> None:
    taught = Taught(InFlight(0.1, 0.01, 20.0, 5), DosingSettings())
    share, sigma_share = taught.expected(taught.fine_speed)
    balance = Balance(250.0)
    balance.start(0.0, 20.0 * share, sigma_share, full_speed=False)
    balance.stop(1.0)
    full_g, sigma_g = balance.excess(270.0, 1.0)
    assert full_g < DOUBT_SIGMAS * sigma_g
    assert balance.excess(276.0, 1.0)[0] > DOUBT_SIGMAS * sigma_g


def test_a_timed_run_that_was_cut_short_explains_no_more_than_it_gave() -> None:
    balance = Balance(250.0)
    balance.start(0.0, 20.0, 0.01, full_speed=True)
    balance.stop(1.0)  # as the board will
    balance.stop(0.2)
    balance.stop(1.1)
    assert balance.excess(268.0, 2.0)[0] == pytest.approx(14.0)
