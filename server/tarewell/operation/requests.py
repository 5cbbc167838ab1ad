"""What the outside may ask of the machine, what it is shown, and why it may be refused."""

from dataclasses import dataclass

from tarewell.device.status import LinkState, LinkStatus
from tarewell.dosing.plan import PourPlan
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
    """The machine at a glance. `hindrances` says in words why no pour can start; empty when one can."""

    machine_id: str
    link: LinkStatus
    indication: Indication | None
    calibrated: bool
    latched: bool
    pour_id: str | None
    hindrances: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PourRequest:
    """A pour as asked for: masses in g; `key` and `fingerprint` make it idempotent."""

    plan: PourPlan
    origin: str
    key: str | None = None
    fingerprint: str | None = None


class MachineBusyError(Exception):
    """A pour is under way; `pour_id` says which."""

    def __init__(self, pour_id: str) -> None:
        super().__init__(
            f"pour {pour_id} is under way and there is one glass place; wait for its end, or stop it first"
        )
        self.pour_id = pour_id


class NotReadyError(Exception):
    """The machine cannot do that now: no link, not calibrated, or the emergency stop is latched."""


class NotUnderWayError(Exception):
    """The pour is over, or another one is under way."""
