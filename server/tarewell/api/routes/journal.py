"""The journal: whether it is whole."""

from fastapi import APIRouter

from tarewell.api.context import Machine, Services
from tarewell.api.schemas.journal import JournalView

router = APIRouter(prefix="/v1/journal", tags=["exports"])


async def _view(services: Services) -> JournalView:
    return JournalView.of(await services.store.journal.last_seq(), services.journal_check)


@router.get("", summary="The journal, and whether it is whole")
async def read_journal(machine: Machine) -> JournalView:
    """Number of entries, and what the last check found."""
    return await _view(machine)


@router.post("/check", summary="Check the journal", status_code=202)
async def check_journal(machine: Machine) -> JournalView:
    """In the background, beside pours; one that is under way goes on. `GET /v1/journal` tells its result."""
    machine.journal_check.begin()
    return await _view(machine)
