"""The firmware's tables of messages are those of the declarations in Python."""

from pathlib import Path
from runpy import run_path
from typing import Any

FIRMWARE = Path(__file__).parents[2] / "protocol" / "firmware"
SCRIPT: dict[str, Any] = run_path(str(FIRMWARE / "wire_table.py"))


def test_the_checked_in_tables_are_made_from_the_messages_as_they_are() -> None:
    kept = (FIRMWARE / "src" / "portable" / "wire.h").read_text("ascii")
    assert kept == SCRIPT["header"](), "the messages have changed: run `make wire`"
