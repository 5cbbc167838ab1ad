"""What stands in a terminal: lines that break between words, and rows that say what they are of."""

import io

import pytest
from rich.console import Console

from tarewell.cli.tables import pour_table, sentence

LONG = "channel 3 was flushed with a cleaner and nobody may drink from it: [b]flush[/b] it with water"
FLUSH = {
    "id": "p-1",
    "state": "complete",
    "purpose": "flush",
    "created_at": "2031-03-14T19:42:10.120000Z",
    "target_g": 20.0,
    "delivered_g": 20.5,
    "final_g": 20.5,
    "final_uncertainty_g": None,
    "found_later": None,
    "doses": [{"liquid_name": "Dress Circle Syrup"}],
}


def printed(terminal: bool) -> str:
    written = io.StringIO()
    sentence(Console(file=written, force_terminal=terminal, width=40, no_color=True), LONG)
    return written.getvalue()


def test_on_a_terminal_a_sentence_breaks_between_words() -> None:
    lines = printed(terminal=True).splitlines()
    assert len(lines) > 2
    assert max(map(len, lines)) <= 40
    assert [word for line in lines for word in line.split()] == LONG.split()


def test_elsewhere_it_is_one_line() -> None:
    assert printed(terminal=False) == LONG + "\n"


@pytest.mark.parametrize(("purpose", "told"), [("flush", "flush: Dress Circle Syrup"), ("drink", "Dress")])
def test_history_says_what_was_no_drink(purpose: str, told: str) -> None:
    written = io.StringIO()
    Console(file=written, width=80).print(pour_table([{**FLUSH, "purpose": purpose}]))
    assert any(line.strip().startswith(told) for line in written.getvalue().splitlines())


def test_history_says_how_sure_the_final_mass_is() -> None:
    """Twice the standard uncertainty, rounded up: 0.11 g is no 0.1 g."""
    written = io.StringIO()
    pour = {**FLUSH, "final_g": 20.64, "final_uncertainty_g": 0.055}
    Console(file=written, width=80).print(pour_table([pour]))
    assert " 20.6 ±0.2 " in written.getvalue()


@pytest.mark.parametrize(
    ("certainty", "found_g", "told"),
    [("weighed", 2.84, "20.5 +2.8"), ("doubtful", -0.31, "20.5 -0.3?"), ("unknown", None, "20.5 +?")],
)
def test_history_says_what_was_found_later_and_how_sure_it_is(
    certainty: str, found_g: float | None, told: str
) -> None:
    written = io.StringIO()
    found = {"certainty": certainty, "found_g": found_g}
    Console(file=written, width=80).print(pour_table([{**FLUSH, "found_later": found}]))
    assert f" {told} " in written.getvalue()
