"""The tube: filling, draining, and nothing lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell_sim.specs import TubeSpec
from tarewell_sim.tube import Tube

SPEC = TubeSpec(bore_mm=4, length_m=1)  # 12.57 ml


def test_an_empty_tube_takes_its_volume_first() -> None:
    tube = Tube(TubeSpec(bore_mm=4, length_m=1, primed=False))
    assert tube.volume_ml == pytest.approx(12.566, abs=0.001)  # pi/4 d^2 L
    assert tube.forward(12.5, 0) == 0
    assert tube.forward(1.0, 0) == pytest.approx(1.0 - 0.066, abs=0.001)
    assert tube.forward(1.0, 0) == pytest.approx(1.0)


def test_reverse_drains_it_and_forward_fills_the_gap() -> None:
    tube = Tube(SPEC)
    assert tube.backward(3.0) == pytest.approx(3.0)
    assert not tube.wet_at_nozzle
    assert tube.forward(2.9, 0) == 0
    assert tube.forward(0.2, 0) == pytest.approx(0.1)
    assert tube.backward(20.0) == pytest.approx(tube.volume_ml)
    assert tube.liquid_ml == 0


def test_air_comes_out_as_nothing() -> None:
    tube = Tube(SPEC)
    tube.forward(0, 2.0)
    assert tube.forward(tube.volume_ml - 2.0, 0) == pytest.approx(tube.volume_ml - 2.0)
    assert tube.forward(2.0, 0) == pytest.approx(0.0, abs=1e-6)
    assert tube.forward(1.0, 0) == pytest.approx(1.0)


def test_drops_come_from_the_end() -> None:
    tube = Tube(SPEC)
    assert tube.drip(0.05) + tube.drip(0.05) == pytest.approx(0.1)
    assert tube.wet_at_nozzle
    assert tube.forward(0.1, 0) == pytest.approx(0.0, abs=1e-9)
    assert tube.forward(0.1, 0) == pytest.approx(0.1)


moves = st.tuples(st.sampled_from(["forward", "backward", "drip"]), st.floats(0, 5), st.floats(0, 1))


@given(st.lists(moves, max_size=40), st.booleans())
def test_what_goes_in_comes_out_or_stays(script: list[tuple[str, float, float]], primed: bool) -> None:
    tube = Tube(TubeSpec(bore_mm=4, length_m=1, primed=primed))
    balance_ml = tube.liquid_ml
    for move, ml, wet in script:
        if move == "forward":
            balance_ml += ml * wet - tube.forward(ml * wet, ml * (1 - wet))
        elif move == "backward":
            balance_ml -= tube.backward(ml)
        else:
            balance_ml -= tube.drip(ml)
        assert tube.liquid_ml == pytest.approx(balance_ml, abs=1e-6)
        assert -1e-6 <= tube.liquid_ml <= tube.volume_ml + 1e-6
