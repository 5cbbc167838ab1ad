"""The pump: speed, pulsation, losses."""

from itertools import pairwise

import pytest

from tarewell_sim.bridge import Bridge
from tarewell_sim.liquids import LiquidModel
from tarewell_sim.pump import Pump
from tarewell_sim.specs import PumpSpec, RoomSpec, TubeSpec
from tarewell_sim.tube import FlowLoss

WATER = LiquidModel(1.0, 1.0, 0.0727)
BRIDGE = Bridge.of(RoomSpec())


def flows(pump: Pump, seconds: float, step_s: float = 0.001) -> list[float]:
    return [pump.step(step_s) / step_s for _ in range(round(seconds / step_s))]


@pytest.mark.parametrize(
    ("rollers", "rpm", "strokes_per_min"),
    [(4, 120, 480), (3, 300, 900)],  # tube strokes a minute = rollers x rpm; 4 x 120 = 480 [D2]
)
def test_flow_pulses_once_a_roller(rollers: int, rpm: float, strokes_per_min: float) -> None:
    pump = Pump(PumpSpec(rated_rpm=rpm, ml_per_rev=2, rollers=rollers), BRIDGE)
    pump.drive(1)
    flows(pump, 1.0)
    minute = flows(pump, 60.0)
    low = 0.8 * sum(minute) / len(minute)
    dips = sum(before >= low > after for before, after in pairwise(minute))
    assert dips == pytest.approx(strokes_per_min, abs=1)


def test_mean_flow_is_volume_per_turn_times_speed() -> None:
    pump = Pump(PumpSpec(rated_rpm=240, ml_per_rev=2), BRIDGE)
    pump.drive(1)
    flows(pump, 1.0)
    assert sum(flows(pump, 10.0)) / 10_000 == pytest.approx(8.0, rel=0.002)  # 4 turns/s of 2 ml


def test_run_up_and_coast_are_first_order() -> None:
    pump = Pump(PumpSpec(rated_rpm=60, ml_per_rev=1, run_up_s=0.1, coast_s=0.2), BRIDGE)
    pump.drive(1)
    flows(pump, 0.1)
    assert pump.rev_per_s == pytest.approx(0.632, abs=0.001)  # 1 - 1/e after one time constant
    flows(pump, 2.0)
    turns = pump.turns
    pump.drive(0)
    flows(pump, 0.2)
    assert pump.rev_per_s == pytest.approx(0.368, abs=0.001)
    flows(pump, 3.0)
    assert not pump.active
    assert pump.turns - turns == pytest.approx(0.2, abs=0.002)  # speed times time constant


def test_a_step_of_any_length_ends_at_the_same_place() -> None:
    coarse, fine = (Pump(PumpSpec(rated_rpm=200, ml_per_rev=2), BRIDGE) for _ in range(2))
    coarse.drive(0.7)
    fine.drive(0.7)
    assert coarse.step(0.5) == pytest.approx(sum(fine.step(0.0005) for _ in range(1000)), rel=1e-9)


def test_a_weak_drive_keeps_a_pump_turning_that_it_does_not_start() -> None:
    pump = Pump(PumpSpec(rated_rpm=240, ml_per_rev=2), BRIDGE)
    pump.drive(80 / 255)
    flows(pump, 1.0)
    assert not pump.active
    pump.drive(1.0)
    flows(pump, 1.0)
    assert pump.rev_per_s == pytest.approx(4.0, rel=1e-4)
    pump.drive(80 / 255)
    flows(pump, 3.0)
    assert 0.1 < pump.rev_per_s < 1.0
    pump.drive(0.1)
    flows(pump, 3.0)
    assert pump.rev_per_s == 0.0


def test_supply_and_direction_set_the_speed_at_full_drive() -> None:
    spec = PumpSpec(rated_rpm=240, ml_per_rev=2)

    def speed(share: float, supply_v: float = 14.5) -> float:
        pump = Pump(spec, Bridge.of(RoomSpec(supply_v=supply_v)))
        pump.drive(share)
        flows(pump, 2.0)
        return pump.rev_per_s

    assert speed(-1.0) == pytest.approx(-4.0, rel=1e-4)
    assert speed(1.0, supply_v=12) == pytest.approx(4.0 * 7.1 / 9.6, rel=1e-4)  # (9.5 - 2.4) / (12 - 2.4) V


def test_a_motor_slows_down_only_as_its_pulses_let_it() -> None:
    """Where current flows less than half of the time, it takes more than twice the time constant."""
    pump = Pump(PumpSpec(rated_rpm=240, ml_per_rev=2, run_up_s=0.06), BRIDGE)
    pump.drive(1.0)
    flows(pump, 1.0)
    pump.drive(100 / 255)
    flows(pump, 0.06)
    early = pump.rev_per_s
    flows(pump, 3.0)
    assert (early - pump.rev_per_s) / (4.0 - pump.rev_per_s) > 0.6  # e^(-1/2)


def test_a_motor_whose_load_takes_all_voltage_is_refused() -> None:
    with pytest.raises(ValueError, match="below rated_v"):
        PumpSpec(rated_rpm=240, ml_per_rev=2, running_a=3.0)


def test_viscosity_takes_what_hagen_poiseuille_asks() -> None:
    # water-like liquid, 1 m of 1 mm bore at 1 ml/s: 40.7 kPa (Hagen-Poiseuille, textbook figure)
    spec = TubeSpec(bore_mm=1, suction_length_m=1, lift_m=0, recovery_kpa=40.74)
    assert FlowLoss(spec, WATER).share(1.0) == pytest.approx(0.5, abs=0.001)
    assert FlowLoss(spec, WATER).share(0.0) == 1.0


def test_lift_takes_the_weight_of_the_column() -> None:
    # 1 m of water: 9.807 kPa
    spec = TubeSpec(lift_m=1, recovery_kpa=19.613)
    assert FlowLoss(spec, WATER).share(0.0) == pytest.approx(0.5, abs=0.001)
    assert FlowLoss(TubeSpec(lift_m=3, recovery_kpa=20), WATER).share(5.0) == 0


def test_age_takes_its_share() -> None:
    new, worn = (FlowLoss(TubeSpec(worn_share=share), WATER).share(5.0) for share in (0.0, 0.15))
    assert worn == pytest.approx(0.85 * new)


def test_a_pump_at_rest_does_not_shake() -> None:
    pump = Pump(PumpSpec(rated_rpm=240, ml_per_rev=2, shake_g=1, motor_shake_g=1), BRIDGE)
    assert pump.shake_g() == 0
    pump.drive(1)
    shakes = []
    for _ in range(1000):
        pump.step(0.001)
        shakes.append(pump.shake_g())
    assert 1.0 < max(shakes) <= 2.0
