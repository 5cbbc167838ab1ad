"""What was found on the platform after a pour had ended: a row of its own beside the outcome."""

from dataclasses import asdict

from sqlalchemy import insert

from tarewell.machine.pour_record import Certainty, FoundLater

from .chain import FOUND_LATER
from .errors import PourOverError
from .pour_changes import require_pour
from .stock import draw_found
from .tables import FoundLaterRow
from .transaction import Transaction


def add_found_later(transaction: Transaction, found: FoundLater) -> None:
    """Commit what was found after a pour, once for each pour. A weighed mass is drawn from the bottle of its
    dose.

    Raises:
        UnknownRecordError: there is no such pour.
        PourOverError: something was found after it before.
    """
    pour = require_pour(transaction.session, found.pour_id)
    if transaction.session.get(FoundLaterRow, pour.id) is not None:
        raise PourOverError(f"pour {pour.id} was weighed after its end before; history is never changed")
    figures = asdict(found)
    row = {**figures, "machine_id": transaction.machine_id, "at": transaction.at}
    transaction.session.execute(insert(FoundLaterRow).values(row))
    lines = []
    if found.certainty is Certainty.WEIGHED and found.dose_index is not None and found.found_g is not None:
        lines = draw_found(transaction, pour.id, found.dose_index, pour.purpose, found.found_g)
    del figures["pour_id"]
    transaction.append_sealed(FOUND_LATER, {**figures, "drawn": lines}, pour.id, pour.id)
