"""What each channel's tube holds, from what was assigned, poured and flushed in the past."""

from collections.abc import Iterator

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tarewell.dosing.maintenance import NEW_TUBE, PumpRun, TubeState
from tarewell.dosing.plan import Agent, Purpose
from tarewell.dosing.states import PourState
from tarewell.machine.needs import TUBE_CHANGED

from .chain import POUR_BEGUN
from .channels import CHANNEL_ASSIGNED, all_channels
from .tables import DoseRow, EventRow, PourOutcomeRow, PourRow
from .values import INTERRUPTED


def load_tubes(session: Session) -> dict[int, TubeState]:
    """The tubes by channel; one that is missing was never assigned a liquid.

    The first liquid that a channel was assigned counts as in its tube: the records cannot know what was there
    before they began. Any other is there once the pump has run with it. A tube that was put in later holds
    what has run through it since.
    """
    changed = changed_tubes(session)
    tubes = {number: TubeState().filled(liquid_id) for number, liquid_id in _first_assigned(session)}
    tubes |= dict.fromkeys(changed, NEW_TUBE)
    runs = [*_drinks(session), *_maintenance(session)]
    for pour_id, run in sorted(runs, key=lambda item: item[0]):
        if pour_id > changed.get(run.channel, ""):
            tubes[run.channel] = tubes.get(run.channel, TubeState()).after(run)
    return tubes


def changed_tubes(session: Session) -> dict[int, str]:
    """The channels whose tube was changed, each with the last pour before that; "" where there was none.

    The ids of later pours are greater, whatever the clock did.
    """
    query = select(EventRow.seq, func.json_extract(EventRow.body, "$.channel")).order_by(EventRow.seq)
    changed = {channel: seq for seq, channel in session.execute(query.where(EventRow.kind == TUBE_CHANGED))}
    begun = select(EventRow.pour_id).where(EventRow.kind == POUR_BEGUN).order_by(EventRow.seq.desc()).limit(1)
    return {number: session.scalar(begun.where(EventRow.seq < seq)) or "" for number, seq in changed.items()}


def _first_assigned(session: Session) -> Iterator[tuple[int, str]]:
    """By channel, from the journal; reads no further than to the last channel's first liquid."""
    number = func.json_extract(EventRow.body, "$.number")
    liquid_id = func.json_extract(EventRow.body, "$.liquid_id")
    query = (
        select(number, liquid_id)
        .where(EventRow.kind == CHANNEL_ASSIGNED, liquid_id.is_not(None))
        .order_by(EventRow.seq)
    )
    missing = {channel.number for channel in all_channels(session)}
    with session.execute(query, execution_options={"yield_per": 20}) as found:
        while missing and (row := found.fetchone()) is not None:
            if row[0] in missing:
                missing.discard(row[0])
                yield row[0], row[1]


def _drinks(session: Session) -> Iterator[tuple[str, PumpRun]]:
    """The newest drink with each liquid of each channel, with its pour; the pump counts as turned."""
    query = (
        select(func.max(DoseRow.pour_id), DoseRow.channel, DoseRow.liquid_id)
        .join(PourRow, PourRow.id == DoseRow.pour_id)
        .where(PourRow.purpose == Purpose.DRINK.value)
        .group_by(DoseRow.channel, DoseRow.liquid_id)
    )
    for pour_id, channel, liquid_id in session.execute(query):
        yield pour_id, PumpRun(channel, liquid_id, Purpose.DRINK)


def _maintenance(session: Session) -> Iterator[tuple[str, PumpRun]]:
    """Each prime, flush and purge that is over, with its pour. For an interrupted one the pump is assumed to
    have turned."""
    query = (
        select(
            PourRow.id,
            DoseRow.channel,
            DoseRow.liquid_id,
            PourRow.purpose,
            func.json_extract(PourRow.setup, "$.plan.agent"),
            PourOutcomeRow.state,
            PourOutcomeRow.delivered_g,
            PourOutcomeRow.glass_g,
        )
        .join(DoseRow, DoseRow.pour_id == PourRow.id)
        .join(PourOutcomeRow, PourOutcomeRow.pour_id == PourRow.id)
        .where(PourRow.purpose != Purpose.DRINK.value)
    )
    for pour_id, channel, liquid_id, purpose, agent, state, delivered_g, glass_g in session.execute(query):
        yield (
            pour_id,
            PumpRun(
                channel=channel,
                liquid_id=liquid_id,
                purpose=Purpose(purpose),
                agent=None if agent is None else Agent(agent),
                turned=glass_g is not None or state == INTERRUPTED,
                complete=state == PourState.COMPLETE,
                delivered_g=delivered_g or 0.0,
            ),
        )
