"""The plate, the cell and the converter."""

from itertools import pairwise
from math import log, pi
from random import Random
from statistics import mean, stdev

import pytest

from tarewell_sim.adc import Adc
from tarewell_sim.scale import Cell, SprungPlatform, swing_c
from tarewell_sim.specs import AdcSpec, CellSpec, PlatformSpec

STEADY_CELL = CellSpec(creep_share=0, wander_g_per_sqrt_h=0, zero_g_per_k=0, span_ppm_per_k=0)


def ring(load_g: float, force_g: float = 100.0, spec: PlatformSpec | None = None) -> list[float]:
    """The spring's force every millisecond after a load is put down."""
    platform = SprungPlatform(spec or PlatformSpec(natural_hz=16, damping=0.05, moving_g=400))
    heights = []
    for _ in range(3000):
        platform.step(0.001, force_g, load_g)
        heights.append(platform.spring_g)
    return heights


def test_the_plate_rings_at_its_frequency_and_damping() -> None:
    heights = ring(load_g=0)
    rises = [n for n, (a, b) in enumerate(pairwise(heights)) if a < 100 <= b]
    assert 1000 * 10 / (rises[10] - rises[0]) == pytest.approx(16, rel=0.01)
    peaks = [b - 100 for a, b, c in zip(heights, heights[1:], heights[2:], strict=False) if a < b > c]
    decrement = log(peaks[0] / peaks[5]) / 5
    assert decrement == pytest.approx(2 * pi * 0.05, rel=0.02)  # logarithmic decrement, light damping


def test_mass_on_the_plate_slows_it() -> None:
    def frequency_hz(load_g: float) -> float:
        rises = [n for n, (a, b) in enumerate(pairwise(ring(load_g))) if a < 100 <= b]
        return 10_000 / (rises[10] - rises[0])

    assert frequency_hz(1200) == pytest.approx(frequency_hz(0) / 2, rel=0.01)  # four times the mass


def test_it_comes_to_rest_at_the_load() -> None:
    assert ring(load_g=0)[-1] == pytest.approx(100, abs=0.05)


def test_a_long_step_is_as_exact_as_many_short_ones() -> None:
    long, short = SprungPlatform(PlatformSpec()), SprungPlatform(PlatformSpec())
    area = long.step(0.2, 50, 250)
    assert area == pytest.approx(sum(short.step(0.0005, 50, 250) for _ in range(400)), rel=1e-9)
    assert (long.spring_g, long.rate_g_per_s) == pytest.approx((short.spring_g, short.rate_g_per_s))
    assert area == pytest.approx(sum(h for h in ring(250, 50, PlatformSpec())[:200]) / 1000, rel=0.01)


def test_a_blow_is_its_impulse() -> None:
    """What the spring gives back until rest is over equals the blow, in grams-force seconds."""
    platform = SprungPlatform(PlatformSpec(damping=0.3))
    platform.knock(0.00980665, 0)  # one gram-force for a second
    total, peak_g = 0.0, 0.0
    for _ in range(2000):
        total += platform.step(0.001, 0, 0)
        peak_g = max(peak_g, platform.spring_g)
    assert total == pytest.approx(1.0, rel=1e-6)
    assert peak_g > 20


def test_one_kilogram_reads_as_the_data_sheet_says() -> None:
    # 1 kg, 1 mV/V, gain 128, ratiometric: 2147.48 counts/g [L]
    assert Cell(STEADY_CELL, Random(1)).counts(1000, 0.0125, 20) == pytest.approx(2_147_480)


def test_zero_span_error_and_falling_counts() -> None:
    cell = Cell(
        STEADY_CELL.model_copy(update={"counts_per_g": -2000, "span_error_percent": 3, "zero_counts": 500}),
        Random(1),
    )
    assert cell.counts(0, 0.01, 20) == 500
    assert cell.counts(100, 0.01, 20) == pytest.approx(500 - 206_000)


def test_creep_grows_to_its_share_and_goes_back() -> None:
    cell = Cell(STEADY_CELL.model_copy(update={"creep_share": 0.001, "creep_time_s": 300.0}), Random(1))
    cell.counts(1000, 1e-9, 20)
    readings = [cell.counts(1000, 10.0, 20) / 2147.48 for _ in range(180)]
    assert readings[29] - 1000 == pytest.approx(0.632, abs=0.001)  # after one time constant
    assert readings[-1] - 1000 == pytest.approx(1.0, abs=0.005)
    back = [cell.counts(0, 10.0, 20) / 2147.48 for _ in range(180)]
    assert back[0] > 0.9 and abs(back[-1]) < 0.005


def test_temperature_moves_zero_and_span() -> None:
    cell = Cell(STEADY_CELL.model_copy(update={"zero_g_per_k": 0.1, "span_ppm_per_k": 200.0}), Random(1))
    assert cell.counts(0, 0.01, 30) / 2147.48 == pytest.approx(1.0, abs=0.003)
    assert cell.counts(1000, 0.01, 30) / 2147.48 == pytest.approx(1000 + 1.0 + 2.0, abs=0.01)
    assert swing_c(21, 2, 1, 900) == pytest.approx(23)
    assert swing_c(21, 2, 1, 2700) == pytest.approx(19)


def test_the_zero_wanders_with_the_root_of_time() -> None:
    spec = STEADY_CELL.model_copy(update={"wander_g_per_sqrt_h": 0.5})
    ends = []
    for seed in range(200):
        cell = Cell(spec, Random(seed))
        ends.append([cell.counts(0, 900, 20) / 2147.48 for _ in range(4)][-1])
    assert stdev(ends) == pytest.approx(0.5, rel=0.15)


def test_drift_runs_at_its_rate() -> None:
    cell = Cell(STEADY_CELL, Random(1))
    cell.drift_g_per_s = 0.02
    assert cell.counts(0, 60, 20) / 2147.48 == pytest.approx(1.2)


def test_overload_leaves_a_shift_for_good() -> None:
    cell = Cell(
        STEADY_CELL.model_copy(update={"safe_load_g": 1500.0, "overload_shift_share": 0.1}), Random(1)
    )
    assert cell.counts(1500, 0.01, 20) == pytest.approx(1500 * 2147.48)
    cell.counts(2000, 0.01, 20)
    assert cell.counts(0, 0.01, 20) == pytest.approx(50 * 2147.48)


def test_the_converter_settles_in_four_conversions_and_saturates() -> None:
    adc = Adc(AdcSpec(noise_counts=0), Random(1))
    assert adc.convert(0) == 0
    steps = [adc.convert(240_000) for _ in range(5)]
    assert steps == [10_000, 120_000, 230_000, 240_000, 240_000]  # data sheet of the HX711: four conversions
    for _ in range(4):
        above = adc.convert(9e6)
    assert above == 0x7FFFFF
    for _ in range(4):
        below = adc.convert(-9e6)
    assert below == -0x800000


def test_noise_is_what_the_data_sheet_allows() -> None:
    # 90 nV rms at 80 samples/s and gain 128 is 38.7 counts [L]
    adc = Adc(AdcSpec(), Random(1))
    codes = [adc.convert(1000) for _ in range(4000)]
    assert stdev(codes) == pytest.approx(38.7, rel=0.05)
    assert mean(codes) == pytest.approx(1000, abs=3)


@pytest.mark.parametrize(("error_percent", "period_ms"), [(0, 12.5), (-6.25, 13.333), (6.25, 11.765)])
def test_its_own_oscillator_sets_the_rate(error_percent: float, period_ms: float) -> None:
    adc = Adc(AdcSpec(oscillator_error_percent=error_percent), Random(1))
    assert 1000 * adc.period_s == pytest.approx(period_ms, abs=0.001)  # 80, 75 and 85 a second
