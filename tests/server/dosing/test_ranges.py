"""Settings of dosing: what is refused, and that nothing that is taken fails on the line."""

from dataclasses import fields, replace
from math import inf, nan
from typing import Any

import pytest

from tarewell.dosing.ranges import RANGES, faults_of
from tarewell.dosing.setup import DosingSettings
from tarewell_protocol import messages as m
from tarewell_protocol.codec import encode_request
from tarewell_protocol.framing import FrameError

MAX_G = 1000.0


def longest_run(settings: DosingSettings) -> bytes:
    """The line that asks for the longest run that settings allow.

    Raises:
        FrameError: no line can.
    """
    run = m.Run(
        channel=1,
        direction=m.Direction.FORWARD,
        speed=settings.coarse_speed,
        lease_ms=settings.lease_ms,
        ceiling_counts=1,
        max_ms=round(1000 * settings.max_feed_s),
    )
    return encode_request(m.Request(1, run))


def test_every_number_has_a_range_and_its_default_makes_sense() -> None:
    numbers = {entry.name for entry in fields(DosingSettings) if entry.type is not bool}
    assert set(RANGES) == numbers
    assert faults_of(DosingSettings(), MAX_G) == []


@pytest.mark.parametrize("name", sorted(RANGES))
def test_nothing_out_of_its_range_is_taken(name: str) -> None:
    low, high = RANGES[name]
    below = low / 1.01 if low else -0.01
    for value in (below, high * 1.01, *(() if low == 0 else (0,)), -1, nan, inf, -inf):
        settings: Any = replace(DosingSettings(), **{name: value})
        assert f"{name} must be from {low:g} to {high:g}, got {value:g}" in faults_of(settings, MAX_G)


@pytest.mark.parametrize("name", ["coarse_speed", "lease_ms", "max_feed_s"])
def test_what_is_taken_can_be_sent(name: str) -> None:
    for value in RANGES[name]:
        settings: Any = replace(DosingSettings(), **{name: value})
        assert longest_run(settings).endswith(b"\n")
    with pytest.raises(FrameError):
        longest_run(replace(DosingSettings(), max_feed_s=1200.0))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"max_feed_s": 1200.0}, "max_feed_s must be from 1 to 999, got 1200"),
        ({"fine_speed": 200, "coarse_speed": 100}, "fine_speed must be at most coarse_speed"),
        ({"rest_window_s": 6.5}, "rest_window_s must be at most rest_wait_s"),
        ({"tare_window_s": 6.5}, "tare_window_s must be at most rest_wait_s"),
        ({"rest_band_g": 1.0, "jump_g": 0.5}, "rest_band_g must be at most jump_g"),
        ({"max_feed_s": 15.0}, "prime_wait_s must be at most max_feed_s"),
        ({"no_flow_s": 61.0}, "no_flow_s must be at most max_feed_s"),
        ({"lease_ms": 190}, "renew_s must be at most half of lease_ms"),
        ({"stale_s": 0.45}, "stale_s must be at most lease_ms"),
        ({"ceiling_margin_g": 1001.0}, "ceiling_margin_g must be at most scale.max_g, 1000; got 1001"),
        ({"min_glass_g": 2000.0}, "min_glass_g must be at most scale.max_g"),
        ({"max_purge_g": 2000.0}, "max_purge_g must be at most scale.max_g"),
    ],
)
def test_settings_that_make_no_sense_together(changes: dict[str, Any], said: str) -> None:
    assert any(fault.startswith(said) for fault in faults_of(replace(DosingSettings(), **changes), MAX_G))
