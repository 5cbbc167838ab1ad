"""Scenario files: one machine, its liquids and its disturbances, as TOML."""

import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from .bench import BenchError, check_command
from .specs import Scenario


class ScenarioError(ValueError):
    """An unusable scenario; the message names file, key and cure."""


def built_in() -> dict[str, Path]:
    """The scenarios that come with the simulator, by name."""
    folder = Path(str(resources.files(__package__) / "scenarios"))
    return {path.stem: path for path in sorted(folder.glob("*.toml"))}


def load_scenario(path_or_name: str | Path) -> Scenario:
    """Read a scenario file, or a built-in one by name.

    Raises:
        ScenarioError: no such file, invalid TOML, an unknown key, or a value out of range.
    """
    path = built_in().get(str(path_or_name), Path(path_or_name))
    try:
        data = tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        names = ", ".join(built_in())
        raise ScenarioError(f"{path}: {error.strerror}; give a file, or one of {names}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ScenarioError(f"{path}: this is not valid TOML: {error}") from error
    return scenario_from(data, str(path))


def scenario_from(data: dict[str, Any], source: str) -> Scenario:
    """Check parsed TOML; `source` names it in messages.

    Raises:
        ScenarioError: an unknown key or command, or a value out of range.
    """
    try:
        scenario = Scenario.model_validate(data)
    except ValidationError as error:
        raise ScenarioError("\n".join(_lines(error, source))) from error
    for number, disturbance in enumerate(scenario.disturbances, start=1):
        try:
            check_command(disturbance.do, disturbance.args)
        except BenchError as error:
            raise ScenarioError(f"{source}: disturbances[{number}]: {error}") from error
    return scenario


def _lines(error: ValidationError, source: str) -> list[str]:
    lines = []
    for problem in error.errors():
        key = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in problem["loc"])
        got = "" if isinstance(problem["input"], dict) else f", got {problem['input']!r}"
        lines.append(f"{source}: {key.removeprefix('.') or 'top level'}: {problem['msg']}{got}")
    return lines
