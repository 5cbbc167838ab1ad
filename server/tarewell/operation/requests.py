"""What the outside may ask of the machine, what it is shown, and why it may be refused."""

from dataclasses import dataclass

from tarewell.device.status import LinkState, LinkStatus
from tarewell.dosing.plan import PourPlan
from tarewell.records.round_ends import serving_of
from tarewell.records.values import RecipeNote
from tarewell.weighing.scale import Indication

__all__ = [
    "LinkState",
    "LinkStatus",
    "MachineBusyError",
    "MachineStatus",
    "NotReadyError",
    "NotUnderWayError",
    "PourRequest",
]


@dataclass(frozen=True, slots=True)
class MachineStatus:
    """The machine at a glance. `blockers` says in words why no pour can start; empty when one can."""

    machine_id: str
    link: LinkStatus
    indication: Indication | None
    calibrated: bool
    latched: bool
    pour_id: str | None
    blockers: tuple[str, ...]
    round_id: str | None = None


@dataclass(frozen=True, slots=True)
class PourRequest:
    """A pour as asked for: masses in g; `key` and `fingerprint` make it idempotent. `recipe` says what it is
    made from, for a drink of a round."""

    plan: PourPlan
    origin: str
    key: str | None = None
    fingerprint: str | None = None
    recipe: RecipeNote | None = None

    @property
    def round_id(self) -> str | None:
        """The round that it belongs to, if it does."""
        serving = serving_of(None if self.recipe is None else self.recipe.serving_id)
        return None if serving is None else serving.round_id


class MachineBusyError(Exception):
    """A pour, or a round, is under way: `what`, with its `owner_id`."""

    def __init__(self, owner_id: str, what: str = "pour") -> None:
        super().__init__(
            f"{what} {owner_id} is under way and there is one platform; wait for its end, or stop it first"
        )
        self.owner_id = owner_id
        self.what = what


class NotReadyError(Exception):
    """The machine cannot do that now: no link, not calibrated, or the emergency stop is latched."""


class NotUnderWayError(Exception):
    """The pour is over, or another one is under way."""
