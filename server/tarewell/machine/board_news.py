"""What the board tells besides its samples: the link, answers, reports of stops, of button and knob."""

from tarewell.dosing import events as e
from tarewell_protocol import messages as m

from . import requests as r
from .effects import Answer, Command, Effect, PassOn, Refuse
from .guard import MachineGuard
from .pouring import Pouring, commanded
from .readiness import Readiness
from .waiting import WaitingRequests
from .weighbridge import Weighbridge

PANEL = "panel"
"""Who orders with the knob's button."""


class BoardNews:
    """See above. Times in s of the host's clock."""

    def __init__(
        self,
        scale: Weighbridge,
        guard: MachineGuard,
        readiness: Readiness,
        waiting: WaitingRequests,
        pouring: Pouring,
    ) -> None:
        self._scale = scale
        self._guard = guard
        self._readiness = readiness
        self._waiting = waiting
        self._pouring = pouring
        self._is_down = False

    def opened(self, identity: m.Identity) -> list[Effect]:
        """A session is open: the board is told of an emergency stop, and asked what it can and found."""
        self._scale.opened(identity)
        self._readiness.opened()
        return [*self._guard.opened(), Command(m.AskLimits()), Command(m.AskSelfTest())]

    def lost(self, reason: str, now_s: float) -> list[Effect]:
        """The session is over, and with it every answer that was due."""
        self._scale.lost()
        self._readiness.sensed(supply_off=False, interlock_open=False)
        effects = self._pouring.feed(e.LinkLost(reason), now_s)
        error = self._readiness.unreachable(reason)
        effects += [Refuse(due.asked.number, error) for due in self._waiting.take_all_at_board()]
        return effects + self._pouring.look(now_s)

    def reported(self, report: m.EventBody, now_s: float) -> list[Effect]:
        """It reports a stop, or what somebody did with knob and button."""
        match report:
            case m.Stopped(run, channel, cause) if self._pouring.pours.follows(run):
                return self._pouring.feed(e.BoardStopped(channel, cause), now_s) + self._pouring.look(now_s)
            case m.Button(press):
                lost_down = press is m.Press.UP and not self._is_down
                self._is_down = press is not m.Press.UP
                pressed = press is m.Press.DOWN or lost_down
                return [*(self._stop_by_button(now_s) if pressed else []), PassOn(report)]
            case m.Knob():
                return [PassOn(report)]
        return []

    def _stop_by_button(self, now_s: float) -> list[Effect]:
        pour, effects = self._pouring.pours.followed, self._pouring.stop_by_button(now_s)
        noted = [] if pour is None or not effects else [commanded(e.PourCommand.STOP, PANEL, pour[0])]
        return [*noted, *effects]

    def answered(self, ticket: int, command: m.Command, body: m.ReplyBody, now_s: float) -> list[Effect]:
        """It answered a command, which may have a ticket."""
        match command, body:
            case m.AskLimits(), m.BoardLimits() as limits:
                self._readiness.limited(limits)
            case m.AskSelfTest(), m.SelfTest() as found:
                self._readiness.tested(found)
            case m.Run(number=run, channel=channel), m.Refused(reason) if self._pouring.pours.follows(run):
                return self._pouring.feed(e.BoardRefused(channel, reason.value), now_s)
        return self._settle(ticket, body, now_s)

    def silent(self, ticket: int, command: m.Command, reason: str, now_s: float) -> list[Effect]:
        """It never answers a command, or never got it."""
        effects: list[Effect] = []
        if (
            isinstance(command, m.Run)
            and self._readiness.linked
            and self._pouring.pours.follows(command.number)
        ):
            effects += self._pouring.feed(e.BoardRefused(command.channel, reason), now_s)
        due = self._waiting.take_at_board(ticket)
        if due is not None:
            effects.append(Refuse(due.asked.number, self._readiness.unreachable(reason)))
        return effects

    def _settle(self, ticket: int, body: m.ReplyBody, now_s: float) -> list[Effect]:
        """Answer the request that waited for this ticket."""
        due = self._waiting.take_at_board(ticket)
        if due is None:
            return []
        number = due.asked.number
        if isinstance(body, m.Refused):
            return [Refuse(number, r.NotReadyError(f"the board refused: {body.reason}"))]
        match due.asked.request:
            case r.ReleaseLatchedStop(origin):
                return [*self._guard.release(origin, now_s), Answer(number)]
            case r.ReadCounters():
                if not isinstance(body, m.BoardStats):
                    text = f"the board answered {body} instead of its counters; update its firmware"
                    return [Refuse(number, r.NotReadyError(text))]
                return [Answer(number, body)]
        return [Answer(number)]
