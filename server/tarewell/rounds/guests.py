"""Standard drinks served to a guest, and the host's limit.

A count says what was poured for somebody, never in what state anyone is: no machine knows who drank it, how
fast, and what else.
"""

from collections.abc import Iterable
from dataclasses import dataclass

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class ServingLimit:
    """A limit in standard drinks, of `standard_drink_g` g of ethanol each, within any `window_s` s."""

    standard_drinks: float
    window_s: float
    standard_drink_g: float


@dataclass(frozen=True, slots=True)
class Served:
    """Ethanol in g that was poured for a guest at `at_s`."""

    guest: str
    at_s: float
    ethanol_g: float


def counted(served: Iterable[Served], guest: str, now_s: float, limit: ServingLimit) -> float:
    """Standard drinks poured for the guest within the window that ends at `now_s`."""
    within_g = sum(
        item.ethanol_g
        for item in served
        if item.guest == guest and now_s - limit.window_s < item.at_s <= now_s
    )
    return within_g / limit.standard_drink_g


@dataclass(frozen=True, slots=True)
class Planned:
    """A glass to come: ethanol in g, and `strength_open` where a liquid in it has no stated strength."""

    guest: str | None
    ethanol_g: float
    strength_open: bool


def held_in_turn(
    served: Iterable[Served], glasses: Iterable[Planned], now_s: float, limit: ServingLimit | None
) -> list[bool]:
    """Which of the glasses would wait for a release, if all were poured now in this order."""
    so_far, held = list(served), []
    for glass in glasses:
        if limit is None or glass.guest is None:
            held.append(False)
            continue
        why = why_held(so_far, glass.guest, glass.ethanol_g, glass.strength_open, now_s, limit)
        held.append(why is not None)
        so_far.append(Served(glass.guest, now_s, glass.ethanol_g))
    return held


def why_held(
    served: Iterable[Served],
    guest: str,
    ethanol_g: float,
    strength_open: bool,
    now_s: float,
    limit: ServingLimit,
) -> str | None:
    """Why a glass with this much ethanol is not poured for the guest without a release; None: it may be.

    `strength_open`: a liquid in it has no stated strength, so a limit cannot be kept. A glass without
    alcohol is never held.
    """
    if strength_open:
        return (
            f"the strength of a liquid in this glass is not known, so it cannot be counted for {guest}; "
            "state the liquid's strength, release the guest, or skip the glass"
        )
    planned = ethanol_g / limit.standard_drink_g
    before = counted(served, guest, now_s, limit)
    if not ethanol_g or before + planned <= limit.standard_drinks + ROUNDING:
        return None
    return (
        f"{guest} has had {before:.1f} standard drinks in {limit.window_s / 3600:g} h and this glass has "
        f"{planned:.1f}; the host's limit is {limit.standard_drinks:g}: look after the guest, then release "
        "or skip the glass"
    )
