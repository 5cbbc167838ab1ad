"""One simulated machine and one daemon for the tests of a worker."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stack import Stack, stacks


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """Started, calibrated, stocked."""
    for found in stacks(tmp_path_factory.mktemp("system")):
        found.start()
        found.set_up()
        yield found


@pytest.fixture
def stack(shared: Stack) -> Stack:
    """The shared stack, ready to pour, whatever the test before has left."""
    shared.clear()
    return shared


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Stack]:
    """A simulated machine, no daemon yet."""
    yield from stacks(tmp_path)
