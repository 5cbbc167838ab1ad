"""Glasses as they are written on the command line."""

import pytest
import typer

from tarewell.cli.rounds import parse_wanted


@pytest.mark.parametrize(
    ("text", "recipe", "count"),
    [("second-bell", "second-bell", 1), ("green-room-cooler=12", "green-room-cooler", 12)],
)
def test_a_recipe_and_how_many(text: str, recipe: str, count: int) -> None:
    assert parse_wanted(text) == {"recipe_id": recipe, "count": count}


@pytest.mark.parametrize(
    "text", ["", "=3", "Second Bell", "bell=", "bell=x", "bell=-1", "bell=1.5", "bell=1000"]
)
def test_another_form_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(typer.BadParameter, match="such as green-room-cooler=3"):
        parse_wanted(text)
