"""Whether a pour can begin, and why not: each reason with its cure."""

from tarewell.dosing.alarms import Alarm
from tarewell.dosing.setup import DosingSettings
from tarewell.weighing.scale import Indication
from tarewell_protocol.messages import BoardLimits, SelfTest, SelfTestVerdict

from .link_status import LinkState, LinkStatus
from .requests import NotReadyError
from .weighbridge import NOT_CALIBRATED


class Readiness:
    """What the machine knows of its link, its records and its own end. Times in s of the host's clock."""

    def __init__(self, settings: DosingSettings) -> None:
        self._settings = settings
        self._beyond_board: tuple[str, ...] = ()
        self._supply_off = self._interlock_open = False
        self.self_test: SelfTest | None = None
        """What the board that is connected found when it tested itself."""
        self.link = LinkStatus(LinkState.CONNECTING, 0.0, "the board has not been contacted yet")
        self.records_fault: str | None = None
        """Why the records cannot be written at present."""
        self.closing_s: float | None = None
        """By when a pour must have ended, since the program is about to end."""

    @property
    def linked(self) -> bool:
        """Whether the board can be reached."""
        return self.link.state is LinkState.OPEN

    def unreachable(self, reason: str | None = None) -> NotReadyError:
        """The refusal where the board cannot be reached."""
        return NotReadyError(f"the board cannot be reached: {reason or self.link.reason}")

    def link_changed(self, status: LinkStatus) -> LinkState:
        """The link has another status; returns the state that it had."""
        before, self.link = self.link.state, status
        return before

    def records_changed(self, fault: str | None) -> None:
        """The records cannot be written, for this reason, or can be again."""
        self.records_fault = fault

    def close_by(self, closing_s: float) -> None:
        """The program is about to end."""
        self.closing_s = closing_s

    def opened(self) -> None:
        """A board has connected; nothing is known of its limits and its self-test."""
        self._beyond_board, self.self_test = (), None

    def tested(self, found: SelfTest) -> None:
        """The board has told what its self-test found."""
        self.self_test = found

    def sensed(self, *, supply_off: bool, interlock_open: bool) -> None:
        """What the board senses at present that keeps its pumps off."""
        self._supply_off, self._interlock_open = supply_off, interlock_open

    def limited(self, limits: BoardLimits) -> None:
        """The board has told its limits."""
        asked = (
            ("lease_ms", self._settings.lease_ms, limits.lease_ms, "ms"),
            ("max_feed_s", self._settings.max_feed_s, limits.run_ms / 1000, "s"),
        )
        self._beyond_board = tuple(
            f"dosing.{name} is {value:g} {unit} and this board allows {most:g} {unit} at most; lower the "
            "setting"
            for name, value, most, unit in asked
            if value > most
        )

    def blockers(
        self, indication: Indication | None, *, calibrated: bool, latched: bool, latched_by: Alarm | None
    ) -> tuple[str, ...]:
        """All reasons, the daemon's own first; empty where a pour can begin."""
        found = []
        if self.closing_s is not None:
            found.append("the daemon is closing; start it again (`tarewell serve`)")
        if self.records_fault is not None:
            found.append(f"the records cannot be written: {self.records_fault}")
        if not self.linked:
            found.append(f"no link to the board: {self.link.reason}")
        found += self._beyond_board
        if self.self_test is not None:
            found += _board_faults(self.self_test)
        if self._supply_off:
            found.append("the pump supply is off; release the emergency switch or switch the supply on")
        if self._interlock_open:
            found.append("the interlock is open; close the door, tray or whatever its switch watches")
        if not calibrated:
            found.append(NOT_CALIBRATED)
        elif self.linked and indication is None:
            found.append("no fresh reading from the scale; check the load cell's wiring")
        elif indication is not None and indication.overload:
            found.append("the scale is overloaded; take the load off the platform")
        if latched:
            why = "" if latched_by is None else f" ({latched_by.name}: {latched_by.observed})"
            found.append(
                f"the emergency stop is latched{why}; remove the cause, then release it (`tarewell release`)"
            )
        return tuple(found)


def _board_faults(found: SelfTest) -> list[str]:
    faults = []
    if found.flash is SelfTestVerdict.BAD:
        faults.append(
            "the board's self-test found its program damaged; flash the firmware again "
            "(protocol/firmware/README.md), and replace the board if that does not help"
        )
    if found.ram is SelfTestVerdict.BAD:
        faults.append("the board's self-test found its memory faulty; replace the board")
    return faults
