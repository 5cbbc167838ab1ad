"""Past primes, flushes and purges, from which a channel's needs follow."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tarewell.dosing.maintenance import Maintenance
from tarewell.dosing.plan import Agent, Purpose
from tarewell.dosing.states import PourState

from .tables import DoseRow, PourOutcomeRow, PourRow
from .values import INTERRUPTED


def load_maintenance(session: Session) -> list[Maintenance]:
    """All that are over, oldest first. For an interrupted one the pump is assumed to have turned."""
    query = (
        select(
            DoseRow.channel,
            PourRow.purpose,
            func.json_extract(PourRow.setup, "$.plan.agent"),
            PourOutcomeRow.state,
            PourOutcomeRow.delivered_g,
            PourOutcomeRow.glass_g,
        )
        .join(DoseRow, DoseRow.pour_id == PourRow.id)
        .join(PourOutcomeRow, PourOutcomeRow.pour_id == PourRow.id)
        .where(PourRow.purpose != Purpose.DRINK.value)
        .order_by(PourRow.id)
    )
    return [
        Maintenance(
            channel=channel,
            purpose=Purpose(purpose),
            agent=None if agent is None else Agent(agent),
            ran=glass_g is not None or state == INTERRUPTED,
            complete=state == PourState.COMPLETE,
            delivered_g=delivered_g or 0.0,
        )
        for channel, purpose, agent, state, delivered_g, glass_g in session.execute(query)
    ]
