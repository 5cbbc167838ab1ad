"""What is known of the glasses of a round whose program ended before it: their pours tell."""

import re
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from tarewell.menu.delivered import Outcome
from tarewell.menu.drink import PlannedHand
from tarewell.rounds.attempt import held_by

from .pour_rows import load_records
from .round_values import GlassRecord, RoundRecord
from .tables import PourRow
from .values import PourRecord

_SERVING = re.compile(r"(?P<round>[0-9a-f-]{36})/(?P<glass>\d+)/(?P<attempt>\d+)/(?P<leg>\d+)")


@dataclass(frozen=True, slots=True)
class Serving:
    """Which leg of which attempt at which glass of a round a pour is; its text is a pour's `serving_id`."""

    round_id: str
    glass: int
    attempt: int
    leg: int

    def __str__(self) -> str:
        return f"{self.round_id}/{self.glass}/{self.attempt}/{self.leg}"


def serving_of(text: str | None) -> Serving | None:
    """What a `serving_id` says; None where it is of no round."""
    match = _SERVING.fullmatch(text or "")
    if match is None:
        return None
    return Serving(match["round"], int(match["glass"]), int(match["attempt"]), int(match["leg"]))


def delivered_g(record: PourRecord) -> tuple[float, ...]:
    """What each dose of a pour that is over has delivered, as far as it began, in g.

    What was weighed beyond the doses that ended came from the first that did not.
    """
    masses = [dose.outcome.delivered_g for dose in record.doses if dose.outcome is not None]
    whole_g = None if record.outcome is None else record.outcome.delivered_g
    if whole_g is not None and len(masses) < len(record.doses):
        masses.append(max(whole_g - sum(masses), 0.0))
    return tuple(masses)


async def interrupted(
    session: AsyncSession, record: RoundRecord
) -> list[tuple[tuple[int, int], tuple[str, ...], Outcome]]:
    """The attempts that were begun and never ended, as glass and number: their pours and what they held."""
    serving_id = func.json_extract(PourRow.recipe, "$.serving_id")
    query = select(PourRow).where(serving_id.startswith(f"{record.id}/"))
    pours: dict[tuple[int, int], list[tuple[int, PourRecord]]] = defaultdict(list)
    for pour in await load_records(session, list(await session.scalars(query.order_by(PourRow.id)))):
        serving = serving_of(None if pour.recipe is None else pour.recipe.serving_id)
        if serving is not None:
            pours[serving.glass, serving.attempt].append((serving.leg, pour))
    over = {(glass.index, attempt.number) for glass in record.glasses for attempt in glass.attempts}
    return [
        (which, tuple(pour.id for _, pour in of), _held(record, record.glasses[which[0]], of))
        for which, of in pours.items()
        if which not in over
    ]


def _held(record: RoundRecord, glass: GlassRecord, pours: list[tuple[int, PourRecord]]) -> Outcome:
    """Steps by hand before the last pour had been confirmed, or it would not have begun."""
    last_leg = pours[-1][0]
    hands = [leg for leg in glass.plan.legs[:last_leg] if isinstance(leg, PlannedHand)]
    masses: list[float] = []
    by_leg = dict(pours)
    for number, leg in enumerate(glass.plan.legs[: last_leg + 1]):
        if not isinstance(leg, PlannedHand):
            of = delivered_g(by_leg[number]) if number in by_leg else ()
            masses += [*of, *(0.0 for _ in leg[len(of) :])]
    return held_by(glass.plan, masses, hands, record.liquids)
