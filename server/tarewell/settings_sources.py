"""Reads the settings: a TOML file, then the environment, then options, each overriding the one before.

In the file a setting is `name = value`, those of scale, dosing, menu and guests in tables `[scale]`,
`[dosing]`, `[menu]` and `[guests]`; in the environment it is TAREWELL_NAME or TAREWELL_SCALE__NAME.
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any

from pydantic import ValidationError
from pydantic_settings import (
    BaseSettings,
    InitSettingsSource,
    NoDecode,
    PydanticBaseSettingsSource,
    SettingsConfigDict,
)

from .settings import TABLES, Settings

CONFIG_VARIABLE = "TAREWELL_CONFIG"
"""Environment variable with the path of the file, where no option gives one."""


class SettingsError(Exception):
    """Unusable settings; one line that says which, why and what to do."""


def setting_names() -> list[str]:
    """Every setting by its documented name: `device`, ..., `scale.max_g`, ..."""
    names = []
    for name in Settings.model_fields:
        table = TABLES.get(name)
        names += [name] if table is None else [f"{name}.{entry.name}" for entry in fields(table)]
    return names


def load_settings(config: Path | None = None, options: Mapping[str, Any] | None = None) -> Settings:
    """Settings from the file `config` (or the one that TAREWELL_CONFIG names), the environment and options.

    An option that is None counts as not given.

    Raises:
        SettingsError: no such file, invalid TOML, an unknown key, a value out of range, or a missing one.
    """
    named = os.environ.get(CONFIG_VARIABLE)
    path = config or (Path(named) if named else None)
    from_file = {} if path is None else _read(path)

    class Layered(Settings, BaseSettings):
        model_config = SettingsConfigDict(env_prefix="TAREWELL_", env_nested_delimiter="__")

        hosts: Annotated[tuple[str, ...], NoDecode] = ()
        allowed_origins: Annotated[tuple[str, ...], NoDecode] = ()

        @classmethod
        def settings_customise_sources(
            cls,
            settings_cls: type[BaseSettings],
            init_settings: PydanticBaseSettingsSource,
            env_settings: PydanticBaseSettingsSource,
            dotenv_settings: PydanticBaseSettingsSource,
            file_secret_settings: PydanticBaseSettingsSource,
        ) -> tuple[PydanticBaseSettingsSource, ...]:
            return init_settings, env_settings, InitSettingsSource(settings_cls, init_kwargs=from_file)

    given = {name: value for name, value in (options or {}).items() if value is not None}
    try:
        return Layered(**given)
    except ValidationError as error:
        raise SettingsError(_line(error)) from error


def _read(path: Path) -> dict[str, Any]:
    try:
        data = tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise SettingsError(f"the settings file {path} cannot be read: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsError(f"the settings file {path} is not valid TOML: {error}") from error
    _check_keys(path, data, list(Settings.model_fields), "")
    for name, table in TABLES.items():
        inner = data.get(name, {})
        if not isinstance(inner, dict):
            raise SettingsError(f"{path}: {name} must be a table, [{name}], got {inner!r}")
        _check_keys(path, inner, [entry.name for entry in fields(table)], f"{name}.")
    return data


def _check_keys(path: Path, data: Mapping[str, Any], known: list[str], prefix: str) -> None:
    for key in data:
        if key not in known:
            near = get_close_matches(key, known, 1, 0.5)
            cure = f"did you mean {prefix}{near[0]}?" if near else f"the settings are {', '.join(known)}"
            raise SettingsError(f"{path}: there is no setting {prefix}{key}; {cure}")


def _line(error: ValidationError) -> str:
    found = []
    for problem in error.errors(include_url=False):
        name = ".".join(str(part) for part in problem["loc"])
        if problem["type"] == "missing" and name == "device":
            found.append("device is not set; give the board's port, such as /dev/ttyUSB0 or tcp://host:port")
            continue
        message = problem["msg"].removeprefix("Value error, ")
        secret = name == "token" or isinstance(problem["input"], dict | list)
        got = "" if secret or problem["type"] in ("missing", "value_error") else f", got {problem['input']!r}"
        found.append(f"{name}: {message}{got}" if name else f"{message}")
    return "; ".join(found)
