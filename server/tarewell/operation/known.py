"""What the records hold for the machine at its start."""

import logging
from datetime import UTC, datetime

from tarewell.dosing.states import PourState
from tarewell.dosing.traces import TraceError
from tarewell.machine.found_later import Unweighed, unweighed
from tarewell.machine.known import Known
from tarewell.machine.pour_log import PourLog
from tarewell.records.store import Store
from tarewell.records.values import INTERRUPTED, PourQuery

log = logging.getLogger(__name__)


async def load(store: Store) -> Known:
    """Close what an earlier run left open, and read what the machine needs to know.

    Raises:
        StoreInUseError: another process runs the machine with this database.
        StoreError: the records cannot be read or written.
    """
    pours = await store.pours.close_interrupted()
    for pour in pours:
        log.warning("pour %s was interrupted by the end of an earlier run", pour.id)
    rounds = await store.rounds.close_interrupted()
    for round_ in rounds:
        log.warning("round %s was interrupted by the end of an earlier run", round_.id)
    return Known(
        calibration=await store.calibrations.current(),
        adjusted_zero_counts=await store.calibrations.adjusted_zero_counts(),
        inflight=await store.inflight.current(),
        tubes=await store.pours.tubes(),
        labels=await store.channels.labels(),
        latched=await store.journal.is_latched(),
        cleared=not pours and not rounds,
        unweighed=await _unweighed(store),
        drips=await store.pours.seen_drips(),
    )


async def _unweighed(store: Store) -> Unweighed | None:
    """What the last pour left, if it was cut short and nothing was found of it yet."""
    pours = (await store.pours.list(PourQuery(limit=1))).pours
    if not pours or (outcome := pours[0].outcome) is None or pours[0].found_later is not None:
        return None
    if outcome.state not in (PourState.ABORTED, INTERRUPTED) or outcome.glass_g is None:
        return None
    told, pour_id = PourLog(glass_g=outcome.glass_g), pours[0].id
    try:
        for entry in await store.pours.trace(pour_id):
            told.note(entry.item)
    except TraceError as error:
        log.warning("what pour %s left is not weighed: %s", pour_id, error)
        return None
    return unweighed(
        pour_id,
        await store.pours.setup(pour_id),
        told,
        cause=outcome.cause,
        stands_g=outcome.glass_g + (outcome.delivered_g or 0.0) + told.added_g,
        ago_s=max((datetime.now(UTC) - outcome.ended_at).total_seconds(), 0.0),
    )
