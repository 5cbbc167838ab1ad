"""docs/simulator.md names every command that the emulated board's back door adds."""

from inspect import signature
from pathlib import Path

import pytest

from tarewell_avr.machine import EmulatedBench
from tarewell_sim.bench import COMMANDS, commands

PAGE = (Path(__file__).parents[3] / "docs" / "simulator.md").read_text("utf-8")


@pytest.mark.parametrize("name", sorted(set(commands(EmulatedBench)) - set(COMMANDS)))
def test_every_command_is_explained_with_its_arguments(name: str) -> None:
    (row,) = (line for line in PAGE.splitlines() if line.startswith(f"| `{name}` "))
    for argument in list(signature(getattr(EmulatedBench, name)).parameters)[1:]:
        assert f"`{argument}`" in row
