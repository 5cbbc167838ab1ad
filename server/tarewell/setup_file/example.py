"""The set-up that comes with the program: whole, to try things on and to begin one's own from."""

import tomllib
from functools import cache
from pathlib import Path

from pydantic import JsonValue

INTERVAL_BAR = Path(__file__).with_name("interval-bar.toml")
"""The interval bar of a small community theatre; the simulated machine `theatre_bar` has its bottles."""


def example(table: str, key: str) -> dict[str, JsonValue]:
    """One part of that set-up as it is written there; the descriptions of the API show it."""
    part: dict[str, JsonValue] = _document()[table][key]
    return part


@cache
def _document() -> dict[str, dict[str, dict[str, JsonValue]]]:
    return tomllib.loads(INTERVAL_BAR.read_text("utf-8"))
