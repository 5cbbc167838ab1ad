"""What all tests share: an example of a property takes its time, since the machine is shared as well; a
playbook that was written is played."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from playbook import take_unplayed
from tarewell.records import engine

SYNCHRONOUS = engine.PRAGMAS["synchronous"]
engine.PRAGMAS["synchronous"] = "OFF"
"""No test cuts the power, so none has to wait for the disk. Daemons, which are processes, still do."""

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Iterator[None]:
    """A test that passes although its playbook was never asserted has shown nothing."""
    try:
        yield
    finally:
        unplayed = take_unplayed()
    if unplayed:
        pytest.fail("\n".join(["a playbook was written, but never asserted:", *unplayed]), pytrace=False)


@pytest.fixture
def durable(monkeypatch: pytest.MonkeyPatch) -> None:
    """Databases that wait for the disk, as outside of tests."""
    monkeypatch.setitem(engine.PRAGMAS, "synchronous", SYNCHRONOUS)
