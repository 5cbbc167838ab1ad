"""A scenario: one machine, its liquids and its disturbances, as one TOML file."""

import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

from pydantic import Field, ValidationError, model_validator

from .bench import check_command
from .specs import AtLeast, BoardSpec, ChannelSpec, GlassSpec, RoomSpec, ScaleSpec, Spec


class ScenarioError(ValueError):
    """An unusable scenario; the message names file, key and cure."""


class DisturbanceSpec(Spec):
    """A back-door command at a given time; `do` is its name, `args` its arguments."""

    at_s: AtLeast
    do: str
    args: dict[str, bool | int | float | str] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _known_command(self) -> "DisturbanceSpec":
        check_command(self.do, self.args)
        return self


class Scenario(Spec):
    """The full configuration of a simulated machine."""

    title: str = ""
    board: BoardSpec = BoardSpec()
    scale: ScaleSpec = ScaleSpec()
    glass: GlassSpec = GlassSpec()
    room: RoomSpec = RoomSpec()
    channels: list[ChannelSpec] = Field(min_length=1)
    disturbances: list[DisturbanceSpec] = Field(default_factory=list)

    @model_validator(mode="after")
    def _channels_once(self) -> "Scenario":
        numbers = [channel.number for channel in self.channels]
        for number in numbers:
            if numbers.count(number) > 1:
                raise ValueError(f"channel {number} is described twice; give each channel its own number")
            if number > self.board.channels:
                raise ValueError(
                    f"channel {number} is described but the board has {self.board.channels}; "
                    "raise board.channels or renumber"
                )
        return self


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
        ScenarioError: an unknown key or a value out of range.
    """
    try:
        return Scenario.model_validate(data)
    except ValidationError as error:
        raise ScenarioError("\n".join(_lines(error, source))) from error


def _lines(error: ValidationError, source: str) -> list[str]:
    lines = []
    for problem in error.errors():
        key = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in problem["loc"])
        got = "" if isinstance(problem["input"], dict) else f", got {problem['input']!r}"
        lines.append(f"{source}: {key.removeprefix('.') or 'top level'}: {problem['msg']}{got}")
    return lines
