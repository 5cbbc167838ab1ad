"""Fall, impact, and the identity between them."""

import pytest

from tarewell_sim.jet import Jet, fall
from tarewell_sim.tube import G_M_PER_S2


@pytest.mark.parametrize(
    ("height_m", "time_s", "speed_m_per_s"),
    [(0.05, 0.1010, 0.990), (0.10, 0.1428, 1.400), (0.15, 0.1749, 1.715), (0.20, 0.2020, 1.981)],
    # free fall from rest, mechanics textbook, g = 9.80665 m/s2 [L]
)
def test_free_fall(height_m: float, time_s: float, speed_m_per_s: float) -> None:
    assert fall(height_m) == pytest.approx((time_s, speed_m_per_s), abs=5e-4)  # as printed


def steady(flow_g_per_s: float, nozzle_m_per_s: float, height_m: float) -> tuple[float, float]:
    """In-flight mass and mean impact force in grams-force of a jet that has run for a while."""
    jet, step_s, momentum = Jet(), 0.0025, 0.0
    for n in range(800):
        jet.emit(n * step_s, step_s, flow_g_per_s * step_s, nozzle_m_per_s, height_m)
        landed = jet.land((n + 1) * step_s)
        momentum += landed[1] if n >= 400 else 0.0
    return jet.mass_g, momentum / (400 * step_s) / G_M_PER_S2


@pytest.mark.parametrize("height_m", [0.03, 0.10, 0.18])
def test_from_rest_the_impact_reads_what_is_in_flight(height_m: float) -> None:
    in_flight_g, impact_g = steady(8.0, 0.0, height_m)
    assert impact_g == pytest.approx(in_flight_g, rel=1e-6)


@pytest.mark.parametrize(
    ("flow_g_per_s", "nozzle_m_per_s", "in_flight_g", "impact_g", "over_g"),
    [(5, 0.707, 0.439, 0.800, 0.361), (10, 1.415, 0.587, 2.030, 1.443), (20, 1.592, 1.078, 4.324, 3.246)],
    # 0.10 m; water through 3, 3 and 4 mm bores (mechanics textbook [L])
)
def test_with_nozzle_speed_the_scale_over_reads(
    flow_g_per_s: float, nozzle_m_per_s: float, in_flight_g: float, impact_g: float, over_g: float
) -> None:
    flying_g, read_g = steady(flow_g_per_s, nozzle_m_per_s, 0.10)
    assert (flying_g, read_g) == pytest.approx((in_flight_g, impact_g), abs=0.001)
    assert read_g - flying_g == pytest.approx(over_g, abs=0.001)


def test_nothing_is_lost_in_the_air() -> None:
    jet, sent_g, landed_g = Jet(), 0.0, 0.0
    for n in range(400):
        mass_g = 0.01 * (n % 7)
        sent_g += mass_g
        jet.emit(n * 0.0025, 0.0025, mass_g, 0.3 * (n % 5), 0.15 - 0.0003 * n)
        landed_g += jet.land((n + 1) * 0.0025)[0]
        assert landed_g + jet.mass_g == pytest.approx(sent_g)
    assert jet.land(10.0)[0] + landed_g == pytest.approx(sent_g)
    assert jet.empty


def test_a_stretch_lands_after_its_fall_and_not_before() -> None:
    jet = Jet()
    jet.emit(0.0, 0.0025, 1.0, 0.0, 0.20)
    assert jet.land(0.2019) == (0.0, 0.0)
    assert jet.land(0.2046)[0] == pytest.approx(1.0)
