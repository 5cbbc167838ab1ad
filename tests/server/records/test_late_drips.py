"""What dripped after a pour stands beside its outcome, and teaches the machine at its next start."""

import pytest

from records_samples import COMPLETE, LIQUIDS, dose_ended, new_pour
from tarewell.dosing.drips import Dripped
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.machine.pour_record import FinalMass
from tarewell.records.errors import PourOverError
from tarewell.records.store import Store


async def _poured(store: Store, dripped_g: float) -> str:
    pour = await store.pours.begin(new_pour())
    doses = [dose_ended(0, 40.0), dose_ended(1, 41.5)]
    await store.pours.finish(pour.id, COMPLETE, doses, 251.3)
    await store.pours.add_late_drips(pour.id, Dripped(1, dripped_g, 0.05, 0.06))
    return pour.id


async def test_drips_count_to_the_dose_weighed_last_and_to_the_pour(store: Store) -> None:
    pour = await store.pours.get(await _poured(store, 0.25))
    assert pour.outcome is not None and pour.outcome.delivered_g == COMPLETE.delivered_g
    assert pour.final == FinalMass(COMPLETE.delivered_g + 0.25, 0.06)
    first, last = pour.doses
    assert pour.final_of(first) == FinalMass(40.0, None)
    assert pour.final_of(last) == FinalMass(41.75, 0.05)
    assert (await store.journal.verify()).intact


async def test_they_are_told_once(store: Store) -> None:
    pour_id = await _poured(store, 0.25)
    with pytest.raises(PourOverError, match="history is never changed"):
        await store.pours.add_late_drips(pour_id, Dripped(1, 0.5, 0.05, 0.06))


async def test_what_a_channel_drips_is_known_at_the_next_start(store: Store) -> None:
    for dripped_g in (0.0, 0.0, 0.4):
        await _poured(store, dripped_g)
    ((channel, seen),) = (await store.pours.seen_drips()).items()
    assert (channel, seen.count) == ((3, LIQUIDS[1].id), 3)
    assert SeenDrips().rms_g < seen.rms_g < 0.4
