"""Why no pour can begin, each reason with its cure."""

from tarewell.dosing.alarms import Alarm
from tarewell.dosing.setup import DosingSettings
from tarewell.weighing.scale import Indication
from tarewell_protocol.messages import BoardLimits

from .link_status import LinkState, LinkStatus
from .weighbridge import NOT_CALIBRATED


def blockers(
    link: LinkStatus,
    indication: Indication | None,
    *,
    calibrated: bool,
    latched: bool,
    latched_by: Alarm | None,
    records_fault: str | None,
    closing: bool,
    beyond_board: tuple[str, ...] = (),
) -> tuple[str, ...]:
    """All blockers, the daemon's own first; empty where a pour can begin."""
    found = []
    if closing:
        found.append("the daemon is closing; start it again (`tarewell serve`)")
    if records_fault is not None:
        found.append(f"the records cannot be written: {records_fault}")
    if link.state is not LinkState.OPEN:
        found.append(f"no link to the board: {link.reason}")
    found += beyond_board
    if not calibrated:
        found.append(NOT_CALIBRATED)
    elif link.state is LinkState.OPEN and indication is None:
        found.append("no fresh reading from the scale; check the load cell's wiring")
    elif indication is not None and indication.overload:
        found.append("the scale is overloaded; take the load off the platform")
    if latched:
        why = "" if latched_by is None else f" ({latched_by.name}: {latched_by.observed})"
        found.append(
            f"the emergency stop is latched{why}; remove the cause, then release it (`tarewell release`)"
        )
    return tuple(found)


def beyond_board(settings: DosingSettings, limits: BoardLimits) -> tuple[str, ...]:
    """Settings that the board would refuse in mid-pour, each with its cure."""
    asked = (
        ("lease_ms", settings.lease_ms, limits.lease_ms, "ms"),
        ("max_feed_s", settings.max_feed_s, limits.run_ms / 1000, "s"),
    )
    return tuple(
        f"dosing.{name} is {value:g} {unit} and this board allows {most:g} {unit} at most; lower the setting"
        for name, value, most, unit in asked
        if value > most
    )
