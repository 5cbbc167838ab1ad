"""Which dosing settings make sense, singly and together.

Settings stored with a pour are not checked: a pour can be replayed with whatever settings it had.
"""

from dataclasses import fields

from tarewell_protocol.messages import LEASE_MAX_MS

from .setup import DosingSettings

RANGES: dict[str, tuple[float, float]] = {
    "accuracy_class": (0.01, 10),
    "aim_share": (0.01, 1),
    "min_aim_g": (0.01, 50),
    "max_jogs": (1, 50),
    "coarse_speed": (1, 255),
    "fine_speed": (1, 255),
    "fine_s": (0.05, 10),
    "flow_window_s": (0.05, 5),
    "rest_window_s": (0.05, 10),
    "rest_band_g": (0.001, 10),
    "settling_delay_s": (0.01, 5),
    "tare_window_s": (0.05, 10),
    "lease_ms": (20, LEASE_MAX_MS),
    "renew_s": (0.01, LEASE_MAX_MS / 2000),
    "stale_s": (0.02, LEASE_MAX_MS / 1000),
    "min_glass_g": (0.1, 10_000),
    "glass_wait_s": (1, 86_400),
    "rest_wait_s": (0.5, 600),
    "no_flow_s": (0.2, 998),
    "max_feed_s": (1, 999),  # a run request holds at most 999 999 ms, SPEC.md section 3
    "ceiling_margin_g": (1, 10_000),
    "suck_back_g": (0, 2),
    "prime_g": (1, 10_000),
    "prime_wait_s": (0.2, 998),
    "max_purge_g": (1, 10_000),
    "jump_g": (0.5, 10_000),
}
"""Lowest and highest value of each number, in the unit that its name gives."""

_ORDER = (
    ("fine_speed", "coarse_speed", "the fine feed is the slower one"),
    ("rest_window_s", "rest_wait_s", "or the scale never comes to rest in time"),
    ("tare_window_s", "rest_wait_s", "or no glass is ever tared in time"),
    ("rest_band_g", "jump_g", "or a knock would pass for rest"),
    ("no_flow_s", "max_feed_s", "or the feed ends before the alarm"),
    ("prime_wait_s", "max_feed_s", "or the feed ends before the alarm"),
)
"""The first may not be above the second, and why."""


def faults_of(settings: DosingSettings, max_g: float) -> list[str]:
    """The faults of dosing settings on a scale that weighs up to `max_g` g, each with its cure."""
    values = {entry.name: getattr(settings, entry.name) for entry in fields(settings)}
    found = [
        f"{name} must be from {low:g} to {high:g}, got {values[name]:g}"
        for name, (low, high) in RANGES.items()
        if not low <= values[name] <= high  # so that NaN fails
    ]
    found += [
        f"{low} must be at most {high}, {why}; got {values[low]:g} and {values[high]:g}"
        for low, high, why in _ORDER
        if values[low] > values[high]
    ]
    if settings.renew_s * 2000 > settings.lease_ms:
        found.append("renew_s must be at most half of lease_ms, or a late renewal stops the pump")
    if settings.stale_s * 1000 > settings.lease_ms:
        found.append("stale_s must be at most lease_ms, or a silent scale looks like a lost lease")
    found += [
        f"{name} must be at most scale.max_g, {max_g:g}; got {values[name]:g}"
        for name in ("min_glass_g", "ceiling_margin_g", "prime_g", "max_purge_g", "jump_g")
        if values[name] > max_g
    ]
    return found
