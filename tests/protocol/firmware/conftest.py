"""Without make and a C compiler everything here is left out."""

from firmware_host import require


def pytest_runtest_setup() -> None:
    """A hook and not a fixture, so that all tests left out are told in one line."""
    require("make", "cc")
