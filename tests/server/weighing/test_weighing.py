"""Calibration, clocks, estimator, rest: against hand-worked lines and against noise with a known answer."""

from collections.abc import Iterable
from math import inf, nan, pi, sin, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.weighing.calibration import Calibration, CalibrationError, UnlikelySpanError, two_point
from tarewell.weighing.clocks import BoardClock, ClockMap
from tarewell.weighing.estimator import Estimate
from tarewell.weighing.recent import RecentReadings
from tarewell.weighing.scale import Indication, Scale, ScaleError, ScaleRating
from tarewell_protocol.messages import Sample

RATE_HZ = 80
CELL = Calibration(zero_counts=-84_000.0, counts_per_g=2147.48)
"""2147.48 counts per g: 1 kg cell of 1 mV/V at gain 128, computed from the HX711 data sheet's full scale."""


def test_two_points_make_a_line_through_both() -> None:
    calibration = two_point(empty_counts=-84_000, loaded_counts=989_740, reference_g=500)
    assert calibration.grams(-84_000) == 0
    assert calibration.grams(989_740) == pytest.approx(500)
    assert calibration.counts_per_g == pytest.approx(2147.48)


def test_a_cell_wired_the_other_way_round_weighs_too() -> None:
    calibration = two_point(empty_counts=1000, loaded_counts=-1_072_740, reference_g=500)
    assert calibration.grams(-1_072_740) == pytest.approx(500)


@pytest.mark.parametrize("reference_g", [0.0, -5.0, float("nan"), float("inf")])
def test_an_impossible_reference_mass_is_refused(reference_g: float) -> None:
    with pytest.raises(CalibrationError, match="must be more than 0 g"):
        two_point(0, 1_000_000, reference_g)


def test_a_reference_that_moves_nothing_is_refused_with_the_cure() -> None:
    with pytest.raises(CalibrationError, match="check the load cell's wiring"):
        two_point(0, 500, 500)


@given(
    zero=st.floats(-8e6, 8e6),
    span=st.floats(100, 10_000) | st.floats(-10_000, -100),
    mass_g=st.floats(-100, 2000),
)
def test_grams_and_counts_undo_each_other(zero: float, span: float, mass_g: float) -> None:
    calibration = Calibration(zero, span)
    assert calibration.grams(calibration.counts(mass_g)) == pytest.approx(mass_g, abs=1e-6)


def test_the_board_clock_goes_on_over_its_wrap() -> None:
    clock = BoardClock()
    first = clock.seconds(2**32 - 1000)
    assert clock.seconds(500) - first == pytest.approx(1.5)
    assert clock.seconds(400) - first == pytest.approx(1.4)  # a late line


def test_a_late_sample_does_not_shift_the_clock_map() -> None:
    clocks = ClockMap()
    for step in range(10):
        clocks.note(board_s=step * 0.0125, now_s=100.004 + step * 0.0125)
    assert clocks.note(board_s=0.125, now_s=100.2) == pytest.approx(100.004)


def _line(masses_g: Iterable[float], delay_s: float = 0.0, window_s: float = 0.5) -> Estimate:
    recent = RecentReadings()
    t_s = 0.0
    for step, mass_g in enumerate(masses_g):
        t_s = step / RATE_HZ
        recent.add(t_s, mass_g)
    line = recent.line(window_s, t_s, delay_s=delay_s)
    assert line is not None
    return line


@given(start_g=st.floats(0, 500), flow=st.floats(-5, 25), delay_s=st.floats(0, 0.2))
def test_a_steady_flow_is_met_without_lag(start_g: float, flow: float, delay_s: float) -> None:
    estimate = _line((start_g + flow * (step / RATE_HZ - delay_s) for step in range(60)), delay_s)
    assert estimate.flow_g_per_s == pytest.approx(flow, abs=1e-6)
    assert estimate.at(2.0) == pytest.approx(start_g + flow * 2.0, abs=1e-5)


def test_stated_uncertainty_covers_the_true_error_of_white_noise() -> None:
    random = Random(11)
    within = 0
    for _ in range(300):
        estimate = _line(6 * step / RATE_HZ + random.gauss(0, 0.1) for step in range(60))
        within += abs(estimate.mass_g - 6 * 59 / RATE_HZ) < 2 * estimate.mass_sigma_g
    assert within > 0.85 * 300  # two sigmas of a normal distribution hold 95 %


def test_a_ringing_platform_hardly_moves_the_line() -> None:
    times_s = [step / RATE_HZ for step in range(60)]
    estimate = _line(6 * t_s + 10 * sin(2 * pi * 13 * t_s) for t_s in times_s)
    assert estimate.mass_g == pytest.approx(6 * 59 / RATE_HZ, abs=0.5)
    assert estimate.scatter_g == pytest.approx(10 / sqrt(2), rel=0.1)


def test_a_line_does_not_reach_back_before_the_moment_that_it_is_asked_from() -> None:
    """6 g/s until 1 s, then the pump stands: at 1.5 s half a second of readings shows the end of the flow,
    from 1 s on they show none. Two that a knock moved are left out on request."""
    recent = RecentReadings()
    for step in range(121):
        knocked_g = 40.0 if step in (100, 101) else 0.0
        recent.add(step / RATE_HZ, min(6.0 * step / RATE_HZ, 6.0) + knocked_g)
    knock_s = [100 / RATE_HZ, 101 / RATE_HZ]
    whole = recent.line(0.6, 1.5, without_s=knock_s)
    still = recent.line(0.6, 1.5, 1.0, without_s=knock_s)
    assert whole is not None
    assert still is not None
    assert whole.flow_g_per_s > 0.05
    assert still.flow_g_per_s == pytest.approx(0.0, abs=1e-9)
    assert still.mass_g == pytest.approx(6.0)
    assert recent.line(0.6, 1.5, 1.49) is None


def test_a_line_asked_for_late_is_that_of_its_own_reading() -> None:
    recent = RecentReadings()
    for step in range(81):
        recent.add(step / RATE_HZ, 6.0 * step / RATE_HZ)
    for step in range(81, 100):
        recent.add(step / RATE_HZ, 400.0)
    line = recent.line(0.5, 1.0)
    assert line is not None
    assert (line.mass_g, line.flow_g_per_s) == (pytest.approx(6.0), pytest.approx(6.0))


def test_the_store_holds_ten_seconds_and_does_not_grow() -> None:
    recent = RecentReadings()
    for step in range(100_000):
        recent.add(step / RATE_HZ, 1.0 + step % 2)
        if step % 997 == 996:
            line = recent.line(10.0, step / RATE_HZ)
            assert line is not None
            assert line.span_s == pytest.approx(min(step / RATE_HZ, 10.0), abs=1 / RATE_HZ)
    assert len(recent) < 4000


def test_a_board_that_starts_over_starts_the_store_over() -> None:
    recent = RecentReadings()
    for step in range(100):
        recent.add(5000.0 + step / RATE_HZ, 100.0)
    for step in range(20):
        recent.add(step / RATE_HZ, 300.0)
    line = recent.line(0.5, 19 / RATE_HZ)
    assert line is not None
    assert (line.mass_g, line.span_s) == (pytest.approx(300.0), pytest.approx(19 / RATE_HZ))
    assert recent.rest(0.45, 0.08, 19 / RATE_HZ) is None


def _rest_after(values: list[float]) -> bool:
    recent = RecentReadings()
    for step, value_g in enumerate(values):
        recent.add(step / RATE_HZ, value_g)
    return recent.rest(0.45, 0.08, (len(values) - 1) / RATE_HZ) is not None


def test_a_still_load_is_at_rest_and_a_trickle_is_not() -> None:
    random = Random(3)
    assert _rest_after([100 + random.gauss(0, 0.02) for _ in range(60)])
    assert not _rest_after([100 + 0.8 * step / RATE_HZ + random.gauss(0, 0.02) for step in range(60)])


def test_ringing_alone_does_not_keep_a_load_from_rest() -> None:
    assert _rest_after([100 + 2 * sin(2 * pi * 15 * step / RATE_HZ) for step in range(60)])


def test_a_gap_in_the_readings_starts_the_test_over() -> None:
    recent = RecentReadings()
    for step in range(60):
        recent.add(step / RATE_HZ, 100.0)
    recent.add(5.0, 100.0)
    assert recent.rest(0.45, 0.08, 5.0, least=6) is None
    assert recent.rest(0.45, 0.08, 59 / RATE_HZ) is not None


def test_no_rest_reaches_back_before_the_moment_that_was_set() -> None:
    recent = RecentReadings()
    rests_s = []
    for at in range(160):
        recent.add(at / RATE_HZ, 100.0)
        if recent.rest(0.45, 0.08, at / RATE_HZ, 1.0) is not None:
            rests_s.append(at / RATE_HZ)
    assert 1.0 + 0.85 * 0.45 <= rests_s[0] <= 1.0 + 0.45


def test_where_readings_are_lost_rest_takes_longer_instead_of_fewer() -> None:
    random = Random(5)
    recent = RecentReadings()
    arrived = 0
    for step in range(120):
        if random.random() < 0.5:
            continue
        arrived += 1
        recent.add(step / RATE_HZ, 100.0)
        if recent.rest(0.45, 0.08, step / RATE_HZ, least=31) is not None:
            break
    assert arrived == 31
    assert step / RATE_HZ > 0.45


def _fed(scale: Scale, mass_g: float, start: int = 0, seconds: float = 1.5) -> int:
    count = start
    for count in range(start, start + round(seconds * RATE_HZ)):
        noise = (count * 7919) % 41 - 20
        sample = Sample(round(count * 12.5), count % 65536, round(CELL.counts(mass_g)) + noise, 0)
        scale.take(sample, count / RATE_HZ)
    return count + 1


def _shown(scale: Scale, sample: Sample, now_s: float = 0.0) -> Indication:
    scale.take(sample, now_s)
    shown = scale.indication(now_s)
    assert shown is not None
    return shown


def test_zero_and_tare_as_their_user_knows_them() -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 3.0)
    scale.adopt(scale.zeroed())
    at = _fed(scale, 253.0, at)
    assert scale.set_tare() == pytest.approx(250.0, abs=0.05)
    _fed(scale, 298.0, at)
    shown = _shown(scale, Sample(10_000, 1, round(CELL.counts(298.0)), 0), 10.0)
    assert shown.net_g == pytest.approx(45.0, abs=0.05)
    assert shown.gross_g == pytest.approx(295.0, abs=0.05)


def test_zero_is_refused_beyond_four_percent_of_max() -> None:
    """R 76-1, 4.5.1: the zero-setting range is 4 % of Max, 40 g of 1 kg."""
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 39.0)
    scale.adopt(scale.zeroed())
    _fed(scale, 41.0, at)
    with pytest.raises(ScaleError, match="take everything off"):
        scale.zeroed()


def test_zero_creeping_up_in_steps_is_bounded_too() -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 30.0)
    scale.adopt(scale.zeroed())
    _fed(scale, 60.0, at)
    with pytest.raises(ScaleError):
        scale.zeroed()


def test_a_calibration_that_is_not_adopted_changes_nothing() -> None:
    """It holds from when it is kept: at 60 g the range of 40 g from the calibrated zero is still exceeded."""
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 30.0)
    empty_counts = scale.rest_counts()
    at = _fed(scale, 530.0, at)
    calibration = scale.calibrated(empty_counts, 500.0)
    assert scale.calibration == CELL
    at = _fed(scale, 60.0, at)
    with pytest.raises(ScaleError, match="take everything off"):
        scale.zeroed()
    scale.adopt(calibration, empty_counts)
    _fed(scale, 60.0, at)
    assert scale.zeroed().zero_counts == pytest.approx(CELL.counts(60.0), abs=1.0)


def test_a_new_calibration_clears_the_tare() -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 3.0)
    zeroed = scale.zeroed()
    _fed(scale, 253.0, at)
    scale.set_tare()
    scale.adopt(zeroed)
    assert scale.tare_g == 0.0


def test_zero_creeping_over_restarts_is_bounded_by_the_last_calibration() -> None:
    scale = Scale(CELL.with_zero(CELL.counts(30.0)), ScaleRating(), adjusted_zero_counts=CELL.zero_counts)
    _fed(scale, 60.0)
    with pytest.raises(ScaleError, match="take everything off"):
        scale.zeroed()


def test_moving_scale_refuses_zero_and_tare() -> None:
    scale = Scale(CELL, ScaleRating())
    with pytest.raises(ScaleError, match="not at rest"):
        scale.zeroed()
    for count in range(80):
        scale.take(Sample(round(count * 12.5), count, round(CELL.counts(count * 0.1)), 0), count / RATE_HZ)
    with pytest.raises(ScaleError, match="not at rest"):
        scale.set_tare()


@pytest.mark.parametrize("reference_g", [5e-324, 0.001, 0.0, -200.0, 49.9, 1000.1, 1e308, inf, nan])
def test_a_reference_mass_that_the_scale_is_not_made_for_is_refused(reference_g: float) -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 200.0)
    with pytest.raises(
        CalibrationError, match=r"must be 50 to 1000 g on this scale, got .* g; use one in that range"
    ):
        scale.calibrated(CELL.zero_counts, reference_g)
    assert scale.calibration == CELL
    _fed(scale, 200.0, at)
    assert scale.calibrated(CELL.zero_counts, 200.0).counts_per_g == pytest.approx(
        CELL.counts_per_g, rel=1e-4
    )


def test_a_reference_mass_may_be_small_or_all_that_the_scale_weighs() -> None:
    for reference_g in (50.0, 1000.0):
        scale = Scale(CELL, ScaleRating())
        _fed(scale, reference_g)
        found = scale.calibrated(CELL.zero_counts, reference_g)
        assert found.grams(CELL.counts(reference_g)) == pytest.approx(reference_g, abs=0.05)


@pytest.mark.parametrize(
    ("given_g", "on_g"), [(500.0, 200.0), (200.0, 500.0), (50.0, 500.0), (500.0, 50.0), (220.0, 100.0)]
)
@pytest.mark.parametrize("wiring", [1, -1])
def test_another_mass_than_the_one_on_the_platform_is_questioned(
    given_g: float, on_g: float, wiring: int
) -> None:
    scale = Scale(CELL, ScaleRating())
    _fed(scale, wiring * on_g)
    with pytest.raises(
        UnlikelySpanError, match=rf"^did you put {given_g:g} g on\?.* about {on_g:g} g.*`accept_unlikely`"
    ):
        scale.calibrated(CELL.zero_counts, given_g)
    accepted = scale.calibrated(CELL.zero_counts, given_g, accept_unlikely=True)
    assert accepted.grams(CELL.counts(wiring * on_g)) == pytest.approx(given_g, rel=1e-3)


@pytest.mark.parametrize("counts_per_g", [1.9 * 2147.48, 2147.48 / 1.9, -2147.48])
def test_a_cell_of_another_make_or_wiring_is_not(counts_per_g: float) -> None:
    """Sensitivities of 0.53 to 1.9 mV/V at the Max of a cell that was taken for one of 1 mV/V."""
    other = Calibration(CELL.zero_counts, counts_per_g)
    scale = Scale(CELL, ScaleRating())
    _fed(scale, CELL.grams(other.counts(400.0)))
    found = scale.calibrated(CELL.zero_counts, 400.0)
    assert found.counts_per_g == pytest.approx(counts_per_g, rel=1e-3)


def test_an_unlikely_span_that_was_accepted_is_the_expected_one_from_then_on() -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 150.0)  # of a cell for five times the load, 750 g
    scale.adopt(scale.calibrated(CELL.zero_counts, 750.0, accept_unlikely=True), CELL.zero_counts)
    at = _fed(scale, 150.0, at)
    assert scale.calibrated(CELL.zero_counts, 760.0).grams(CELL.zero_counts) == 0.0
    with pytest.raises(UnlikelySpanError, match="makes it about 750 g"):
        scale.calibrated(CELL.zero_counts, 150.0)


def test_overload_shows_above_max_plus_nine_e() -> None:
    """R 76-1, 4.2.3: no indication above Max + 9 e, here 1000.9 g."""
    scale = Scale(CELL, ScaleRating())
    assert not _shown(scale, Sample(0, 0, round(CELL.counts(1000.8)), 0)).overload
    assert _shown(scale, Sample(12, 1, round(CELL.counts(1001.0)), 0)).overload
    assert _shown(scale, Sample(25, 2, 8_388_607, 0, saturated=True)).overload


def test_a_new_zero_holds_for_the_readings_that_showed_it() -> None:
    scale = Scale(CELL, ScaleRating())
    at = _fed(scale, 3.0)
    scale.adopt(scale.zeroed())
    shown = scale.indication(at / RATE_HZ)
    assert shown is not None
    assert shown.stable
    assert (shown.gross_g, shown.rest_g) == (pytest.approx(0.0, abs=0.05), pytest.approx(0.0, abs=0.01))
    assert scale.line is not None
    assert scale.line.flow_g_per_s == pytest.approx(0.0, abs=0.05)


def test_a_stale_reading_is_not_shown_nor_one_of_a_link_that_was_lost() -> None:
    scale = Scale(CELL, ScaleRating())
    _fed(scale, 250.0)
    last_s = 119 / RATE_HZ
    assert scale.indication(last_s + 0.2) is not None
    assert scale.indication(last_s + 0.3) is None
    scale.lost()
    assert scale.indication(last_s) is None
    assert scale.line is None
    with pytest.raises(ScaleError, match="not at rest"):
        scale.zeroed()
