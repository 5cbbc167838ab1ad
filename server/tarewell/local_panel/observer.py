"""Observes the machine for the dialogue: blockers, the pour under way, how the last one ended."""

from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict
from tarewell.exchange.client import MachineClient
from tarewell.machine.pour_record import PourRecord
from tarewell.records.store import Store

from .events import MachineShown, PourOver, PourShown, RoundShown


class Observer:
    """Follows one pour from when it is noticed or begun until its outcome is in the records."""

    def __init__(self, machine: MachineClient, store: Store) -> None:
        self._machine = machine
        self._store = store
        self._followed: PourRecord | None = None

    def follow(self, record: PourRecord) -> PourShown:
        """A pour has begun."""
        self._followed = record
        return _seen(record, self._machine.state.pour_progress(record.id))

    async def ended(self) -> PourOver | None:
        """How the followed pour ended, once; None while it is under way or there is none.

        Raises:
            StoreError: the records cannot be read; ask again.
        """
        followed = self._followed
        if followed is None or self._machine.state.pour_progress(followed.id) is not None:
            return None
        record = await self._store.pours.get(followed.id)
        if self._followed is followed:
            self._followed = None
        return _over(record)

    async def notice(self) -> None:
        """Find a pour that was begun elsewhere.

        Raises:
            StoreError: the records cannot be read; ask again.
        """
        pour_id = self._machine.state.status.pour_id
        if self._followed is None and pour_id is not None:
            self._followed = await self._store.pours.get(pour_id)

    def seen(self) -> MachineShown:
        """The machine's present state."""
        status, pour = self._machine.state.status, None
        if self._followed is not None:
            pour = _seen(self._followed, self._machine.state.pour_progress(self._followed.id))
        return MachineShown(status.blockers, status.latched, pour, self._round())

    def _round(self) -> RoundShown | None:
        state = self._machine.state
        round_id, progress = state.status.round_id, state.round
        if round_id is None or progress is None:
            return None
        count = len(progress.glasses)
        title = progress.name if count == 1 else f"{progress.glass + 1}/{count} {progress.name}"
        return RoundShown(round_id, title, progress.state, progress.leg, progress.prompt, progress.detail)


def _seen(record: PourRecord, progress: PourProgress | None) -> PourShown:
    """`progress` is None once the outcome is in the records, a moment before the dialogue gets it."""
    doses = record.doses
    delivered_g = progress.delivered_g if progress is not None else ()
    index = 0 if progress is None or progress.dose is None else progress.dose
    title = doses[index].liquid_name
    if len(doses) > 1:
        title = f"{index + 1}/{len(doses)} {title}"
    return PourShown(
        pour_id=record.id,
        title=title,
        state=PourState.COMPLETE if progress is None else progress.state,
        delivered_g=sum(delivered_g),
        delivered_ml=sum(
            mass_g / dose.density_g_per_ml for mass_g, dose in zip(delivered_g, doses, strict=False)
        ),
        target_ml=_target_ml(record),
        alarm=None if progress is None else progress.alarm,
    )


def _target_ml(record: PourRecord) -> float:
    return sum(dose.target_g / dose.density_g_per_ml for dose in record.doses)


def _over(record: PourRecord) -> PourOver:
    outcome = record.outcome
    ended = [(dose, dose.outcome) for dose in record.doses if dose.outcome is not None]
    verdicts = {dose_ended.verdict for _, dose_ended in ended}
    order = (Verdict.OVER, Verdict.UNDER, None, Verdict.WITHIN)
    worst = next((verdict for verdict in order if verdict in verdicts), None)
    title = record.doses[0].liquid_name
    return PourOver(
        title=title if len(record.doses) == 1 else f"{len(record.doses)} liquids",
        state=record.state,
        cause="" if outcome is None else outcome.cause,
        delivered_ml=sum(dose_ended.delivered_g / dose.density_g_per_ml for dose, dose_ended in ended),
        target_ml=_target_ml(record),
        verdict=worst,
        pour_id=record.id,
    )
