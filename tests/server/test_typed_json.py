"""Values come back from JSON as they were, and nothing else does."""

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.typed_json import dump, load


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


@dataclass(frozen=True)
class Peg:
    number: int
    colour: Colour = Colour.RED


@dataclass(frozen=True)
class Lamp:
    watts: float


@dataclass(frozen=True)
class Box:
    pins: tuple[Peg, ...]
    by_number: dict[int, Peg]
    part: Peg | Lamp | None
    names: frozenset[str]
    at: datetime
    raw: bytes
    pair: tuple[int, str]


PINS = st.builds(Peg, st.integers(), st.sampled_from(Colour))
BOXES = st.builds(
    Box,
    st.lists(PINS).map(tuple),
    st.dictionaries(st.integers(), PINS),
    PINS | st.builds(Lamp, st.floats(allow_nan=False)) | st.none(),
    st.frozensets(st.text()),
    st.datetimes(timezones=st.just(UTC)),
    st.binary(),
    st.tuples(st.integers(), st.text()),
)


@given(BOXES)
def test_what_was_written_comes_back(box: Box) -> None:
    assert load(Box, json.loads(json.dumps(dump(box)))) == box


def test_fields_with_their_default_may_be_left_out() -> None:
    assert dump(Peg(3), defaults=False) == {"number": 3}
    assert load(Peg, {"number": 3}) == Peg(3)


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        (Peg, {}),
        (Peg, {"number": "3"}),
        (Peg, {"number": True}),
        (Peg, {"number": 3, "colour": "green"}),
        (Peg, {"number": 3, "size": 1}),
        (Peg | Lamp, {"number": 3, "watts": 1.0}),
        (tuple[int, str], [1]),
        (tuple[int, ...], {"0": 1}),
        (float, "1.0"),
        (bytes, "not base64!"),
        (datetime, "yesterday"),
    ],
)
def test_what_does_not_fit_is_refused(kind: object, data: object) -> None:
    with pytest.raises(ValueError, match=r".+"):
        load(kind, data)
