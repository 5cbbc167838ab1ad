"""The round under way: fed with what happens; its decisions, and its record."""

from collections.abc import Sequence

from tarewell.dosing.events import PourCommand
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import PourState
from tarewell.rounds import events as e
from tarewell.rounds.progress import RoundProgress
from tarewell.rounds.round import Round
from tarewell.rounds.serving import Serving
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent

from .effects import AppendEvent, Effect, EndGlass, FinishRound, Persist, TellFault
from .pour_record import RecipeNote
from .requests import PourRequest

ABORTED = "aborted"
"""State of a round that was ended by an error in the program."""


class RoundRun:
    """One round. What it decides comes as outputs of the round, and what it records as effects."""

    def __init__(self, round_id: str, round_: Round) -> None:
        self.round_id = round_id
        self._round = round_
        self._failed = False

    @property
    def kept_key(self) -> str:
        """The key by which its outcome comes back as written."""
        return f"outcome of {self.round_id}"

    @property
    def finished(self) -> bool:
        """Whether the round is over."""
        return self._failed or self._round.finished

    @property
    def pour_id(self) -> str | None:
        """The pour under way for it."""
        return self._round.pour_id

    @property
    def by_hand(self) -> bool:
        """Whether somebody works on the glass, so that rising mass is no alarm."""
        return not self.finished and self._round.state is RoundState.BY_HAND

    def waiting_glass(self, guest: str, now_s: float) -> int | None:
        """The glass of this guest that waits for a release; None: none does."""
        progress = self.progress(now_s, ())
        waits = progress.state is RoundState.AWAITING_RELEASE and progress.guest == guest
        return progress.glass if waits else None

    def progress(self, now_s: float, delivered_g: Sequence[float]) -> RoundProgress:
        """The round at a glance; `delivered_g` as in `Round.progress`."""
        return self._round.progress(now_s, tuple(delivered_g))

    def _request(self, wanted: e.BeginPour) -> PourRequest:
        drink = self._round.plan.glasses[wanted.glass].drink
        serving = Serving(self.round_id, wanted.glass, wanted.attempt, wanted.leg)
        note = RecipeNote(drink.recipe_id, drink.name, drink.glass_id, str(serving))
        return PourRequest(wanted.plan, "round", recipe=note)

    def command(self, command: e.RoundCommand, now_s: float) -> "Decided":
        """Give the operator's command.

        Raises:
            UnexpectedRoundEvent: the round's state does not take it; nothing has changed.
        """
        return self._handle(e.RoundCommanded(command), now_s)

    def feed(self, event: e.RoundEvent, now_s: float) -> "Decided":
        """Feed any other event; dropped where the round's state does not accept it."""
        if self.finished:
            return [], []
        try:
            return self._handle(event, now_s)
        except UnexpectedRoundEvent:
            return [], []

    def check(self, pour: PourProgress, now_s: float) -> "Decided":
        """See whether the pour is held."""
        if pour.state is PourState.HOLDING:  # it accepts no restart yet
            return [], []
        return self.feed(e.PourChecked(pour.state is PourState.HELD), now_s)

    def _handle(self, event: e.RoundEvent, now_s: float) -> "Decided":
        try:
            outputs = self._round.handle(event, now_s)
        except UnexpectedRoundEvent:
            raise
        except Exception as error:
            return self._fail(event, error)
        wanted: list[PourWanted] = []
        effects: list[Effect] = []
        for output in outputs:
            match output:
                case e.BeginPour():
                    wanted.append(self._request(output))
                case e.GivePourCommand():
                    wanted.append(output)
                case e.RoundStateChanged(state, glass, detail):
                    body = {"round_id": self.round_id, "state": state, "glass": glass, "detail": detail}
                    effects.append(Persist(AppendEvent("round_state", body)))
                case e.GlassEnded():
                    effects.append(Persist(EndGlass(self.round_id, output)))
                case e.RoundEnded(state):
                    effects.append(Persist(FinishRound(self.round_id, state), self.kept_key))
        return wanted, effects

    def _fail(self, event: e.RoundEvent, error: Exception) -> "Decided":
        """End the round after an error in the program; a pour under way is stopped too."""
        self._failed = True
        told = TellFault(
            f"round {self.round_id} failed to handle {type(event).__name__} and is aborted", error
        )
        wanted: list[PourWanted] = []
        if self._round.pour_id is not None:
            wanted.append(e.GivePourCommand(self._round.pour_id, PourCommand.STOP))
        return wanted, [told, Persist(FinishRound(self.round_id, ABORTED), self.kept_key)]


PourWanted = PourRequest | e.GivePourCommand

Decided = tuple[list[PourWanted], list[Effect]]
"""What a round wants of the machine's pours, and what else follows."""
