"""What tests of the emulated board need: its tools or a reason to leave them out, and hosts in lock step."""

import os

import pytest

from tarewell_avr.building import missing


def require_avr() -> None:
    """Leave the calling test out where the emulator's tools are missing; fail if they are asked for."""
    if lacking := missing():
        if os.environ.get("TAREWELL_REQUIRE_AVR") == "1":
            pytest.fail(lacking, pytrace=False)
        pytest.skip(lacking)
