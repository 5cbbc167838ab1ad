"""What all tests share: an example of a property takes its time, since the machine is shared as well; a
playbook that was written is played."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from playbook import take_unplayed

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
