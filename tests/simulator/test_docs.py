"""docs/simulator.md names every scenario key and every command with its arguments."""

import re
from inspect import signature
from pathlib import Path

import pytest

from tarewell_sim.bench import COMMANDS, Bench
from tarewell_sim.specs import DisturbanceSpec, Spec

PAGE = (Path(__file__).parents[2] / "docs" / "simulator.md").read_text("utf-8")
TABLES = " ".join(line for line in PAGE.splitlines() if line.startswith("| `"))
QUOTED = set(re.findall(r"\w+", " ".join(re.findall(r"`([^`]+)`", TABLES))))
MODELS = [model for model in Spec.__subclasses__() if model is not DisturbanceSpec]


def parts(model: type[Spec]) -> set[str]:
    """Keys that hold a value, not a table of their own."""
    tables = {"board", "scale", "adc", "cell", "platform", "glass", "room", "pump", "tube"}
    return set(model.model_fields) - tables - {"title", "disturbances", "channels"}


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_is_explained(model: type[Spec]) -> None:
    assert parts(model) <= QUOTED


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_explained_with_its_arguments(name: str) -> None:
    rows = (line for line in PAGE.splitlines() if line.startswith("| `"))
    row = next((line for line in rows if f"`{name}`" in line.split("|")[1]), "")
    assert row
    for argument in list(signature(getattr(Bench, name)).parameters)[1:]:
        assert f"`{argument}`" in row
