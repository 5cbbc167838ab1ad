"""The set-up that comes with the program: complete, to try things out and as a starting point."""

import tomllib
from functools import cache
from pathlib import Path

from pydantic import JsonValue

INTERVAL_BAR = Path(__file__).with_name("interval-bar.toml")
"""The interval bar of a small community theatre; the simulated machine `theatre_bar` has its bottles."""


def example(table: str, key: str) -> dict[str, JsonValue]:
    """One part of that set-up as written; the API's documentation shows it."""
    part: dict[str, JsonValue] = _document()[table][key]
    return part


@cache
def _document() -> dict[str, dict[str, dict[str, JsonValue]]]:
    return tomllib.loads(INTERVAL_BAR.read_text("utf-8"))
