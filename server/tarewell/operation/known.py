"""What the records hold for the machine at its start."""

import logging

from tarewell.machine.known import Known
from tarewell.records.store import Store

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
    )
