"""One simulated machine and one daemon for a module's tests; they go before other programs."""

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from stack import Stack, stacks

NICE = -10


@pytest.fixture(scope="session", autouse=True)
def _priority() -> None:
    """These tests pour in real time: whatever else the computer does, machine and daemon get their share.

    Only root may ask for that. Without it a computer with nothing to spare holds a pour, as it should.
    """
    with suppress(PermissionError):
        os.setpriority(os.PRIO_PROCESS, 0, NICE)


@pytest.fixture(scope="module")
def stack(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """Started, calibrated, stocked."""
    for found in stacks(tmp_path_factory.mktemp("system")):
        found.start()
        found.set_up()
        yield found


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Stack]:
    """A simulated machine, no daemon yet."""
    yield from stacks(tmp_path)
