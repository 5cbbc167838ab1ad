"""What the board promises under faults, in a few random phases each and both builds; `make bench` has 200."""

import pytest

from avr_desk import require_avr
from last_defence import PROMISES, Promise

require_avr()

PHASES = 3


@pytest.mark.parametrize("sketch", [False, True], ids=["make", "sketch"])
@pytest.mark.parametrize("promise", PROMISES, ids=lambda promise: promise.name)
def test_the_worst_of_a_few_phases_keeps_the_promise(promise: Promise, sketch: bool) -> None:
    assert max(promise.figures(promise.elf(sketch), PHASES)) <= promise.worst
