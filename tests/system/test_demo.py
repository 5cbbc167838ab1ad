"""The first thing that a user runs."""

import subprocess
import sys

import pytest

pytestmark = pytest.mark.system


def test_the_demo_pours_a_round_of_two_drinks_and_ends_by_itself() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tarewell", "demo"], capture_output=True, text=True, timeout=150, check=False
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.count("complete, record ") == 2
    assert "alcohol-free" in ran.stdout
    assert "audit chain intact" in ran.stdout
    assert ran.stdout.count("within") == 4
