"""What fell into a glass after the verdict: a row of its own beside the outcome."""

from dataclasses import asdict

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from tarewell.dosing.drips import Dripped
from tarewell.dosing.uncertainty import SeenDrips

from .chain import LATE_DRIPS
from .errors import PourOverError
from .pour_changes import require_pour
from .tables import DoseRow, LateDripsRow
from .transaction import Transaction
from .tubes import changed_tubes

READ = 500
"""So many of the newest rows tell what the channels usually drip."""


def add_late_drips(transaction: Transaction, pour_id: str, dripped: Dripped) -> None:
    """Commit what fell into the glass of a pour after its end, once for each pour.

    Raises:
        UnknownRecordError: there is no such pour.
        PourOverError: it was weighed after its end before.
    """
    pour = require_pour(transaction.session, pour_id)
    if transaction.session.get(LateDripsRow, pour.id) is not None:
        raise PourOverError(f"the drips of pour {pour.id} were weighed before; history is never changed")
    figures = asdict(dripped)
    figures["dose_index"] = figures.pop("index")
    row = {**figures, "pour_id": pour.id, "machine_id": transaction.machine_id, "at": transaction.at}
    transaction.session.execute(insert(LateDripsRow).values(row))
    transaction.append_sealed(LATE_DRIPS, figures, pour.id, pour.id)


def seen_drips(session: Session) -> dict[tuple[int, str], SeenDrips]:
    """What the channels usually drip after the verdict with their present tubes, by channel and liquid id."""
    of_dose = (DoseRow.pour_id == LateDripsRow.pour_id) & (DoseRow.dose_index == LateDripsRow.dose_index)
    query = select(DoseRow.channel, DoseRow.liquid_id, LateDripsRow.pour_id, LateDripsRow.dripped_g)
    query, changed = query.join(DoseRow, of_dose), changed_tubes(session)
    newest = list(session.execute(query.order_by(LateDripsRow.pour_id.desc()).limit(READ)))
    seen: dict[tuple[int, str], SeenDrips] = {}
    for channel, liquid_id, pour_id, dripped_g in reversed(newest):
        if pour_id > changed.get(channel, ""):
            seen[channel, liquid_id] = seen.get((channel, liquid_id), SeenDrips()).learn(dripped_g)
    return seen
