"""docs/architecture.md and its pictures are what the program does."""

import runpy
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from hop_routes import PORT, watched
from hop_tracer import Call

DOCS = Path(__file__).parents[1] / "docs"
SCRIPT = runpy.run_path(str(DOCS / "draw_architecture.py"))


@pytest.fixture(scope="module")
def routes() -> dict[str, list[Call]]:
    return watched()


def test_page_and_pictures_are_drawn_from_the_program_as_it_is(routes: Any) -> None:
    for name, text in SCRIPT["files"](routes).items():
        assert (DOCS / name).read_text("utf-8") == text, f"docs/{name} is out of date; run `make diagram`"


def test_every_role_on_the_page_is_that_of_a_hop(routes: Any) -> None:
    seen = {hop.name for hops in routes.values() for hop in hops}
    assert set(SCRIPT["ROLES"]) <= seen, "docs/draw_architecture.py describes what is no hop any more"


def test_a_route_visits_the_machine_repeats_no_call_and_is_no_longer_than_it_has_to_be(routes: Any) -> None:
    for hops in routes.values():
        assert "Machine.handle" in [hop.name for hop in hops]
        assert all(first.name != second.name for first, second in pairwise(hops))
    assert len(routes["sample"]) <= 12 and len(routes["request"]) <= 8
    assert routes["sample"][0].name == "Link.data_received"
    assert routes["sample"][-1].name == routes["recipe"][-1].name == PORT
