"""Mean current and speed of a motor behind a pulsed bridge."""

from math import sqrt

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tarewell_sim.bridge import Bridge, Winding
from tarewell_sim.specs import RoomSpec

FAST = Bridge.of(RoomSpec())
"""14.5 V, a bipolar bridge: 12 V in the pulses, 16.5 V against the current in the pauses."""


def integrated_mean_a(winding: Winding, duty: float, emf_v: float) -> float:
    """The same by integrating L di/dt = v - R i - emf with SciPy's solver until it repeats."""
    bridge, period_s = winding.bridge, 1 / winding.bridge.pwm_hz

    def ran_out(_t: float, state: np.ndarray) -> float:
        return float(state[0])

    ran_out.terminal, ran_out.direction = True, -1  # type: ignore[attr-defined]
    current_a = charge_as = 0.0
    for _ in range(max(3, round(0.01 / period_s))):
        state, charge_as = [current_a, 0.0], 0.0
        for volts, lasts_s in ((bridge.on_v, duty * period_s), (-bridge.off_v, (1 - duty) * period_s)):

            def slope(_t: float, state: np.ndarray, volts: float = volts) -> list[float]:
                return [(volts - winding.resistance_ohm * state[0] - emf_v) / winding.inductance_h, state[0]]

            found = solve_ivp(slope, (0, lasts_s), state, events=ran_out, rtol=1e-8, atol=1e-10)
            state = [max(0.0, found.y[0][-1]), found.y[1][-1]]
        current_a, charge_as = state
    return charge_as / period_s


@pytest.mark.parametrize(
    ("decay", "pwm_hz", "duty", "emf_v"),
    [
        ("fast", 244, 100 / 255, 4.0),
        ("fast", 244, 204 / 255, 8.0),
        ("fast", 7812, 204 / 255, 3.0),  # current never stops
        ("fast", 7812, 120 / 255, 1.0),
        ("slow", 244, 80 / 255, 2.0),
        ("slow", 7812, 120 / 255, 1.5),
    ],
)
def test_the_mean_current_is_what_integration_gives(
    decay: str, pwm_hz: float, duty: float, emf_v: float
) -> None:
    winding = Winding(4.0, 0.002, Bridge.of(RoomSpec.model_validate({"decay": decay, "pwm_hz": pwm_hz})))
    expected_a = integrated_mean_a(winding, duty, emf_v)
    assert expected_a > 0.05
    assert winding.mean_a(duty, emf_v)[0] == pytest.approx(expected_a, rel=1e-4)


@pytest.mark.parametrize(("k", "duty"), [(0.1, 0.3), (0.4, 0.5), (0.05, 0.8), (2.0, 0.3), (0.9, 0.7)])
def test_slow_decay_without_losses_is_the_buck_converter(k: float, duty: float) -> None:
    """Conversion ratio of the buck converter, Erickson and Maksimovic, Fundamentals of Power Electronics,
    chapter 5 (from memory): D in continuous conduction, K > 1 - D, else 2 / (1 + sqrt(1 + 4 K / D²)), with
    K = 2 L / (R T) of the load R."""
    load_ohm, pwm_hz = 10.0, 1000.0
    ratio = duty if k > 1 - duty else 2 / (1 + sqrt(1 + 4 * k / duty**2))
    winding = Winding(1e-4, k * load_ohm / pwm_hz / 2, Bridge(12.0, 0.0, pwm_hz))
    assert winding.emf_v(duty, 12 * ratio / load_ohm) == pytest.approx(12 * ratio, rel=2e-3)


def test_pulses_much_shorter_than_the_windings_time_constant_need_three_quarters_of_full_drive() -> None:
    """In fast decay the pauses take back what the pulses gave, so no speed below 2 D = 1 exists at all; well
    below that frequency every pulse reaches its full current."""
    emf_v = {
        pwm_hz: [
            Winding(4.0, 0.002, Bridge(FAST.on_v, FAST.off_v, pwm_hz)).emf_v(speed / 255, 0.6)
            for speed in (80, 120, 160, 204)
        ]
        for pwm_hz in (244, 7812)
    }
    assert emf_v[7812][:3] == [0.0, 0.0, 0.0]
    # continuous: D 12 - (1 - D) 16.5 - 0.6 x 4 = 3.9 V (volt-second balance, textbook)
    assert emf_v[7812][3] == pytest.approx(3.9, abs=0.01)
    assert emf_v[244][0] > 0.5
    assert emf_v[244] == sorted(emf_v[244])


def test_without_drive_or_voltage_no_current_flows() -> None:
    assert Winding(4.0, 0.002, FAST).mean_a(0.0, 0.0) == (0.0, 0.0)
    assert Winding(4.0, 0.002, FAST).mean_a(0.5, 12.0) == (0.0, 0.0)
    assert Winding(4.0, 0.002, Bridge.of(RoomSpec(supply_v=2))).emf_v(1.0, 0.6) == 0.0
