"""The list of mutants fits the source, and one of them dies; `make bench` kills them all."""

from pathlib import Path

import pytest

from avr_desk import require_avr
from mutants import MUTANTS, Mutant

require_avr()


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: f"{mutant.file}:{mutant.promise}")
def test_a_mutant_changes_one_place(mutant: Mutant) -> None:
    source = mutant.source.read_text("utf-8")
    assert source.count(mutant.text) == 1
    assert mutant.instead not in source or mutant.instead in mutant.text


def test_a_mutant_dies(tmp_path: Path) -> None:
    assert not MUTANTS[0].lives(tmp_path / "mutant", phases=2)
