"""Any object of the machine goes through JSON and comes back as it was."""

import json
from collections import deque
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.dosing.states import PourState
from tarewell.machine.requests import MachineBusyError
from tarewell.state_json import StateError, dump_state, load_state
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.recent import RecentReadings

PLAIN = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False)
    | st.text()
    | st.binary()
    | st.sampled_from(PourState)
    | st.builds(Calibration, st.floats(-1e6, 1e6), st.floats(1, 1e6))
    | st.datetimes(timezones=st.just(UTC))
)
KEYS = st.text() | st.integers() | st.tuples(st.integers(), st.text())
NESTED = st.recursive(
    PLAIN,
    lambda item: (
        st.lists(item)
        | st.dictionaries(KEYS, item)
        | st.tuples(item, item)
        | st.builds(deque, st.lists(item))
    ),
    max_leaves=20,
)


def through_json(value: Any) -> Any:
    return load_state(json.loads(json.dumps(dump_state(value), allow_nan=False)))


@given(NESTED)
def test_values_come_back_as_they_were(value: Any) -> None:
    back = through_json(value)
    assert back == value
    assert type(back) is type(value)


@given(st.lists(st.floats(), min_size=16))
def test_many_numbers_come_back_bit_for_bit(numbers: list[float]) -> None:
    assert list(map(float.hex, through_json(numbers))) == list(map(float.hex, numbers))


def test_what_two_hold_stays_one() -> None:
    readings = RecentReadings()
    readings.add(1.0, 250.0)
    one, other = through_json([readings, readings])
    assert one is other
    other.add(1.1, 250.5)
    assert len(one) == 2


def test_an_error_comes_back_with_its_text_and_figures() -> None:
    back = through_json([MachineBusyError("pour-1"), OSError(28, "No space left")])
    assert str(back[0]) == str(MachineBusyError("pour-1"))
    assert back[0].owner_id == "pour-1"
    assert isinstance(back[1], OSError)
    assert back[1].args == (28, "No space left")


@dataclass
class Foreign:
    what: int


@pytest.mark.parametrize("value", [Foreign(1), Path("/"), print, lambda: None])
def test_foreign_objects_are_refused(value: object) -> None:
    with pytest.raises(StateError, match="there is no state of"):
        dump_state([value])


@pytest.mark.parametrize(
    "data",
    [
        [[{"object": "os:system", "holds": None}], {"#": 0}],
        [[{"object": "builtins:eval", "holds": None}], {"#": 0}],
        [[{"object": "tarewell.setup_file.__main__:Store", "holds": None}], {"#": 0}],
        [[{"error": "builtins:type", "holds": [[], {}]}], {"#": 0}],
        [[{"object": "tarewell.machine.machine:Nobody", "holds": None}], {"#": 0}],
        [[], {"#": 0}],
        [[], {"what": 0}],
        "no state",
    ],
)
def test_text_that_is_no_state_is_refused(data: Any) -> None:
    with pytest.raises(StateError):
        load_state(data)


def test_times_keep_their_zone() -> None:
    at = datetime(2026, 11, 28, 21, 30, tzinfo=UTC)
    assert through_json(at) == at
