"""Machines with the real firmware in them."""

from collections.abc import Callable
from typing import Any

import pytest

from tarewell_avr.machine import EmulatedMachine
from tarewell_sim.scenario import load_scenario, scenario_from
from tarewell_sim.specs import Scenario


def bar(**sections: dict[str, Any]) -> Scenario:
    """The theatre bar, its clock from zero, nothing on channels 6 to 8, and sections merged into it."""
    data = load_scenario("theatre_bar").model_dump(exclude_unset=True)
    data["channels"] = [channel for channel in data["channels"] if channel["number"] < 6]
    data["board"] |= {"clock_start_ms": 0}
    for name, section in sections.items():
        data[name] = _merged(data.get(name, {}), section)
    return scenario_from(data, "test")


def _merged(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    return old | {
        key: _merged(old[key], v) if isinstance(v, dict) and key in old else v for key, v in new.items()
    }


@pytest.fixture
def make_bar() -> Callable[..., Scenario]:
    """Makes theatre bars."""
    return bar


@pytest.fixture
def emulated() -> Callable[..., EmulatedMachine]:
    """Makes machines with real firmware."""

    def make(seed: int = 1, **sections: dict[str, Any]) -> EmulatedMachine:
        return EmulatedMachine(bar(**sections), seed)

    return make
