"""What the kinds of steps by hand say of themselves, and that people are told the same."""

import re
from pathlib import Path

import pytest

from menu_samples import WATER, dose
from tarewell.menu.checks import step_faults
from tarewell.menu.hands import FIGURES, Hand, HandStep
from tarewell.quantities.units import parse_amount

DOCS = Path(__file__).parents[3] / "docs"


def test_the_docs_list_every_kind_with_what_it_takes_and_its_time() -> None:
    rows = re.findall(
        r"^\| `(\w+)` \| (.*?) \| .*? \| (.*?) \|$", (DOCS / "menu.md").read_text("utf-8"), re.M
    )
    told = {
        kind: (set(re.findall(r"`(\w+)`", takes)), float(s)) for kind, takes, s in rows if kind in set(Hand)
    }
    assert told == {
        kind.value: (
            set(kind.spec.figures)
            | ({"amount"} if kind.spec.brings_liquid else set())
            | ({"liquid_id"} if kind.spec.brings_allergens else set()),
            kind.spec.takes_s,
        )
        for kind in Hand
    }


@pytest.mark.parametrize("kind", Hand)
def test_a_kind_has_its_figures_and_no_other_ones(kind: Hand) -> None:
    fitting = dict.fromkeys(kind.spec.figures, 1.0)
    whole = HandStep(kind, "done with care", **fitting)
    assert faults(whole) == []
    assert whole.figures == tuple((1.0, FIGURES[name].unit) for name in kind.spec.figures)
    for name in FIGURES:
        other = {**fitting, name: 0.0 if name in fitting else 1.0}
        assert faults(HandStep(kind, "done with care", **other)) == [f"/{name}"]
        beyond = {**fitting, name: FIGURES[name].max_value * 1.01}
        assert faults(HandStep(kind, "done with care", **beyond)) == [f"/{name}"]


@pytest.mark.parametrize("kind", Hand)
def test_only_what_brings_liquid_has_an_amount(kind: Hand) -> None:
    fitting = dict.fromkeys(kind.spec.figures, 1.0)
    found = faults(HandStep(kind, "done with care", text="5 ml", amount=parse_amount("5 ml"), **fitting))
    assert found == ([] if kind is Hand.TOP_UP else ["/amount"])


def faults(step: HandStep) -> list[str]:
    return [field for _, field, _ in step_faults((dose(WATER, "50 ml"), step))]
