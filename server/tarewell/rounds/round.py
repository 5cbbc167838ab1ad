"""The round's state machine: events and the time in, commands and reports out.

`Round.handle` looks the event up in the table of `states`, lets the state act, and refuses any step that the
table does not allow. Nothing here reads a clock; nothing waits for the time alone, so there are no wake-ups.
"""

from collections.abc import Sequence
from enum import StrEnum

from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.menu.delivered import held_of
from tarewell.menu.drink import PlannedHand

from . import events as e
from .attempt import Attempt
from .guests import Served, why_held
from .plan import GlassPlan, RoundPlan
from .progress import GlassProgress, RoundProgress, remaining_s
from .states import TABLE, RoundState, UnexpectedRoundEvent, kind_of


class Next(StrEnum):
    """What follows once a held round is restarted."""

    GLASS = "glass"
    HAND = "hand"
    AFTER_LEG = "after_leg"
    SAME_GLASS_ANEW = "same_glass_anew"


class Round:
    """One round from start to a terminal state.

    `served` is what guests had before, on the same clock as `now_s`. With `cleared` False a glass with a
    drink may still be on the platform: it has to go first.
    """

    def __init__(self, plan: RoundPlan, served: Sequence[Served] = (), cleared: bool = True) -> None:
        self.plan = plan
        self.state = RoundState.IDLE
        self._served = list(served)
        self._dirty = not cleared
        self._glass = 0
        self._attempt = Attempt(plan.glasses[0])
        self._released: set[int] = set()
        self._ended: dict[int, e.GlassEnded] = {}
        self._legs: dict[str, tuple[int, int]] = {}
        """The glass and the leg that a pour was for."""
        self._in_pour = False
        self._pour_id: str | None = None
        self._next: Next | None = None
        self._detail = ""
        self._now_s = 0.0
        self._begun_s = 0.0
        self._out: list[e.RoundOutput] = []

    def handle(self, event: e.RoundEvent, now_s: float) -> list[e.RoundOutput]:
        """Take one event at the host's monotonic `now_s`.

        Raises:
            UnexpectedRoundEvent: the present state does not take it; nothing has changed.
            TableError: the machine tried a step outside its table.
        """
        kind = kind_of(event)
        before = self.state
        if not TABLE.takes(before, kind) or (
            isinstance(event, e.Released) and event.guest != self._attempt.plan.guest
        ):
            raise UnexpectedRoundEvent(before, kind)
        self._now_s = now_s
        match event:
            case e.RoundCommanded(command):
                self._take_command(command)
            case e.PlatformRead(gross_g):
                self._take_platform(gross_g)
            case e.PourBegun(pour_id):
                self._take_begun(pour_id)
            case e.PourRefused(reason):
                self._take_refused(reason)
            case e.PourChecked(held):
                self._take_seen(held)
            case e.GlassPourEnded(state, cause, delivered_g):
                self._take_ended(state, cause, delivered_g)
            case e.Released():
                self._released.add(self._glass)
                self._await_glass()
            case e.FoundInGlass():
                self._take_found(event)
        TABLE.check(before, kind, self.state)
        out = list(self._out)
        self._out.clear()
        return out

    @property
    def finished(self) -> bool:
        """Whether the round is in a terminal state."""
        return self.state in TABLE.terminal

    @property
    def pour_id(self) -> str | None:
        """The pour under way."""
        return self._pour_id

    def progress(self, now_s: float, pouring_g: Sequence[float] = ()) -> RoundProgress:
        """The round at a glance, forecast included; `pouring_g` is what the doses of the pour under way have
        delivered so far."""
        kind = self.plan.kind_of(self._attempt.plan)
        at_leg = self.state in (RoundState.POURING, RoundState.BY_HAND)
        elapsed_s = now_s - self._begun_s if at_leg else 0.0
        return RoundProgress(
            state=self.state,
            glass=self._glass,
            attempt=self._attempt.number,
            leg=self._attempt.leg,
            name=self._attempt.plan.drink.name,
            guest=self._attempt.plan.guest,
            glass_name=None if kind is None else kind.name,
            begun=self._attempt.touched,
            detail=self._detail,
            pour_id=self._pour_id,
            hand=self._attempt.hand if self.state is RoundState.BY_HAND else None,
            leg_elapsed_s=elapsed_s,
            glasses=tuple(self._glass_progress(index, pouring_g) for index in range(len(self.plan.glasses))),
            remaining_s=self._remaining_s(elapsed_s),
        )

    def _glass_progress(self, index: int, pouring_g: Sequence[float]) -> GlassProgress:
        takes_s = remaining_s(self.plan.glasses[index], 0, 0.0, ())
        if index in self._ended:
            ended = self._ended[index]
            return GlassProgress(
                ended.ending.value, ended.attempt + 1, ended.pour_ids, ended.outcome, takes_s
            )
        if index != self._glass or self.state is RoundState.IDLE:
            return GlassProgress("waiting", 0, (), None, takes_s)
        attempt = self._attempt
        return GlassProgress(
            "under_way",
            attempt.number + 1,
            tuple(attempt.pour_ids),
            attempt.outcome(self.plan.liquids, pouring_g),
            takes_s,
        )

    def _remaining_s(self, elapsed_s: float) -> float | None:
        if self.finished:
            return 0.0
        to_come = self.plan.glasses[self._glass + 1 :]
        return remaining_s(self._attempt.plan, self._attempt.leg, elapsed_s, to_come)

    # Commands

    def _take_command(self, command: e.RoundCommand) -> None:
        match command:
            case e.RoundCommand.START if self.state is RoundState.IDLE:
                self._turn_to(0)
            case e.RoundCommand.START:
                self._begin_leg()
            case e.RoundCommand.CONFIRM:
                self._confirm()
            case e.RoundCommand.HOLD:
                self._hold()
            case e.RoundCommand.RESTART:
                self._restart()
            case e.RoundCommand.SKIP:
                self._skip()
            case e.RoundCommand.STOP:
                self._stop()

    def _hold(self) -> None:
        if self._in_pour:
            self._command_pour(PourCommand.HOLD)
            self._enter(RoundState.HOLDING, "held by the operator")
            return
        self._be_held("held by the operator", Next.HAND if self.state is RoundState.BY_HAND else Next.GLASS)

    def _restart(self) -> None:
        if self._in_pour:
            self._command_pour(PourCommand.RESTART)
            self._enter(RoundState.POURING)
            return
        following, self._next = self._next, None
        match following:
            case Next.GLASS:
                self._await_glass()
            case Next.HAND:
                self._show_hand()
            case Next.AFTER_LEG:
                self._after_leg()
            case Next.SAME_GLASS_ANEW:
                self._begin_again()

    def _skip(self) -> None:
        if self._in_pour:
            self._command_pour(PourCommand.STOP)
            self._enter(RoundState.SKIPPING)
        else:
            self._end_glass(e.Ending.SKIPPED)
            self._go_on()

    def _stop(self) -> None:
        if self._in_pour:
            self._command_pour(PourCommand.STOP)
            self._enter(RoundState.STOPPING)
        else:
            self._end_round()

    # The platform

    def _take_platform(self, gross_g: float) -> None:
        empty = gross_g < self.plan.min_glass_g
        match self.state:
            case RoundState.AWAITING_REMOVAL if empty:
                self._dirty = False
                self._await_glass()
            case RoundState.AWAITING_GLASS if not empty:
                self._judge(gross_g)
            case RoundState.AWAITING_GLASS:
                self._update_detail("")
            case RoundState.GLASS_READY if empty:
                self._enter(RoundState.AWAITING_GLASS)
            case RoundState.GLASS_READY if (why_not := self._attempt.why_not(gross_g, self.plan)) is not None:
                self._enter(RoundState.AWAITING_GLASS, why_not)

    def _judge(self, gross_g: float) -> None:
        if (why_not := self._attempt.why_not(gross_g, self.plan)) is not None:
            self._update_detail(why_not)
            return
        self._attempt.placed(gross_g)
        if self.plan.auto_start or self._attempt.touched:
            self._begin_leg()
        else:
            self._enter(RoundState.GLASS_READY)

    # Legs

    def _begin_leg(self) -> None:
        attempt = self._attempt
        attempt.begin()
        self._dirty = True
        if attempt.hand is not None:
            self._show_hand()
            return
        self._in_pour = True
        counted = self.plan.limit is not None and attempt.plan.guest is not None
        plan = attempt.plan.pour_plan(attempt.leg, counted, attempt.over_g)
        self._out.append(e.BeginPour(self._glass, attempt.number, attempt.leg, plan))
        self._enter(RoundState.POURING)

    def _show_hand(self) -> None:
        self._enter(RoundState.BY_HAND, again=True)

    def _confirm(self) -> None:
        attempt = self._attempt
        if attempt.hand is not None:
            attempt.done(attempt.hand)
        self._after_leg()

    def _after_leg(self) -> None:
        attempt = self._attempt
        attempt.go_on()
        if attempt.whole:
            self._end_glass(e.Ending.COMPLETE)
            self._go_on()
        elif attempt.hand is not None:
            self._show_hand()
        else:
            self._await_glass()

    # The pour

    def _command_pour(self, command: PourCommand) -> None:
        if self._pour_id is not None:  # else it follows once the pour has begun
            self._out.append(e.GivePourCommand(self._pour_id, command))

    def _take_begun(self, pour_id: str) -> None:
        self._pour_id = pour_id
        self._attempt.begin_pour(pour_id)
        self._legs[pour_id] = self._glass, self._attempt.leg
        if self.state is RoundState.HOLDING:
            self._command_pour(PourCommand.HOLD)
        elif self.state in (RoundState.SKIPPING, RoundState.STOPPING):
            self._command_pour(PourCommand.STOP)

    def _take_refused(self, reason: str) -> None:
        self._leave_pour()
        if not self._refused_while_leaving():
            self._be_held(reason, Next.GLASS)

    def _refused_while_leaving(self) -> bool:
        """Skipped or stopped before the pour could begin."""
        if self.state is RoundState.SKIPPING:
            self._end_glass(e.Ending.SKIPPED)
            self._go_on()
        elif self.state is RoundState.STOPPING:
            self._end_round()
        else:
            return False
        return True

    def _take_seen(self, held: bool) -> None:
        if not self._in_pour:
            return
        if held and self.state in (RoundState.POURING, RoundState.HOLDING):
            detail = self._detail if self.state is RoundState.HOLDING else "the pour is held; see its alarm"
            self._enter(RoundState.HELD, detail)
        elif not held and self.state is RoundState.HELD:
            self._enter(RoundState.POURING)

    def _take_ended(self, state: str, cause: str, delivered_g: tuple[float, ...]) -> None:
        self._leave_pour()
        self._attempt.poured(delivered_g)
        complete = state == PourState.COMPLETE
        if self._refused_while_leaving():
            return
        if not complete:
            self._be_held(
                f"the pour ended {state} ({cause}); restart to begin this glass again, skip it, or stop",
                Next.SAME_GLASS_ANEW,
            )
        elif self.state is RoundState.POURING:
            self._after_leg()
        else:
            self._be_held(self._detail, Next.AFTER_LEG)

    def _take_found(self, found: e.FoundInGlass) -> None:
        """It counts towards the guest's limit."""
        if found.pour_id not in self._legs:
            return
        index, leg = self._legs[found.pour_id]
        glass = self.plan.glasses[index]
        doses = glass.legs[leg]
        if glass.guest is None or isinstance(doses, PlannedHand):
            return
        held = held_of(doses[found.dose_index].liquid_id, found.found_g, self.plan.liquids)
        self._served.append(Served(glass.guest, self._now_s, held.ethanol_g))

    def _leave_pour(self) -> None:
        self._in_pour, self._pour_id = False, None

    # Glasses

    def _turn_to(self, index: int) -> None:
        if index != self._glass:
            self._glass, self._attempt = index, Attempt(self.plan.glasses[index])
        self._await_glass()

    def _await_glass(self) -> None:
        """Wait for the current glass: a fresh one, or back from a step by hand."""
        if self._attempt.touched:
            self._enter(RoundState.AWAITING_GLASS)
        elif self._dirty:
            self._enter(RoundState.AWAITING_REMOVAL, again=True)
        elif (why := self._why_held(self._attempt.plan)) is not None:
            self._enter(RoundState.AWAITING_RELEASE, why)
        else:
            self._enter(RoundState.AWAITING_GLASS)

    def _why_held(self, glass: GlassPlan) -> str | None:
        if self.plan.limit is None or glass.guest is None or self._glass in self._released:
            return None
        ethanol_g = glass.drink.strength.ethanol_g
        return why_held(
            self._served, glass.guest, ethanol_g, glass.strength_open, self._now_s, self.plan.limit
        )

    def _begin_again(self) -> None:
        attempt = self._attempt
        self._end_glass(e.Ending.SPOILT)
        self._attempt = Attempt(attempt.plan, attempt.number + 1)
        self._await_glass()

    def _end_glass(self, ending: e.Ending) -> None:
        attempt = self._attempt
        outcome = attempt.outcome(self.plan.liquids)
        ended = e.GlassEnded(self._glass, attempt.number, ending, tuple(attempt.pour_ids), outcome)
        if ending is not e.Ending.SPOILT:
            self._ended[self._glass] = ended
        if attempt.plan.guest is not None and attempt.touched:
            self._served.append(Served(attempt.plan.guest, self._now_s, outcome.delivered.ethanol_g))
        self._out.append(ended)

    def _go_on(self) -> None:
        """The current glass is finished."""
        if self._glass + 1 == len(self.plan.glasses):
            self._finish(RoundState.COMPLETE)
        else:
            self._turn_to(self._glass + 1)

    def _end_round(self) -> None:
        self._end_glass(e.Ending.STOPPED)
        self._finish(RoundState.STOPPED)

    def _finish(self, state: RoundState) -> None:
        self._enter(state)
        self._out.append(e.RoundEnded(state.value))

    # States

    def _be_held(self, detail: str, following: Next) -> None:
        self._next = following
        self._enter(RoundState.HELD, detail, again=True)

    def _update_detail(self, detail: str) -> None:
        """Change the detail within the same state."""
        if detail != self._detail:
            self._report(self.state, detail)

    def _enter(self, state: RoundState, detail: str = "", again: bool = False) -> None:
        """With `again` the same state begins anew, as for two steps by hand in a row."""
        if again or state is not self.state:
            self._begun_s = self._now_s
            self._report(state, detail)
        else:
            self._update_detail(detail)

    def _report(self, state: RoundState, detail: str) -> None:
        self._out.append(e.RoundStateChanged(state.value, self._glass, detail))
        self.state, self._detail = state, detail
