"""One snapshot of all that happens, to draw it and then follow the event stream."""

from time import monotonic

from fastapi import APIRouter

from tarewell.api.context import Machine, Services
from tarewell.api.schemas.now import NowView, ReadingView

from . import machine as machine_routes
from . import pours, rounds

router = APIRouter(prefix="/v1", tags=["machine"])


@router.get("/now", summary="What the machine does this moment")
async def read_now(machine: Machine) -> NowView:
    """The machine, the last reading, and the pour and the round under way, as the other routes show them."""
    seq = await machine.store.journal.last_seq()
    state = machine.client.state
    pour_id, round_id = state.followed_pour, state.followed_round
    return NowView.of(
        seq,
        await machine_routes.view(machine),
        _reading(machine),
        None if pour_id is None else await pours.view(machine, pour_id),
        None if round_id is None else await rounds.view(machine, round_id),
    )


def _reading(machine: Services) -> ReadingView | None:
    feed = machine.client.feed
    if feed.reading is None:
        return None
    is_shown = machine.client.state.status.indication is not None
    return ReadingView.of(feed.reading.body, monotonic() - feed.reading_s, is_shown)
