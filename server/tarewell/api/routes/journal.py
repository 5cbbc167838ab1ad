"""The journal: whether it is whole, and its entries."""

from typing import Annotated

from fastapi import APIRouter, Query, Response

from tarewell.api.context import Machine, Services
from tarewell.api.kept import listed, set_page_links
from tarewell.api.schemas.journal import JournalEntryView, JournalView
from tarewell.records.values import MAX_PAGE

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


@router.get(
    "/entries", summary="Entries of the journal, newest first", responses=listed("`next` to older entries")
)
async def list_entries(
    machine: Machine,
    response: Response,
    limit: Annotated[int, Query(ge=1, le=MAX_PAGE)] = 50,
    before: Annotated[int | None, Query(ge=1, description="number of an entry: those before it")] = None,
) -> list[JournalEntryView]:
    """Follow the Link header for older ones."""
    found = await machine.store.journal.before(before, limit)
    older = str(found[-1].seq) if found and found[-1].seq > 1 else None
    set_page_links(response, f"{router.prefix}/entries", {"limit": limit}, older)
    return [JournalEntryView.of(event) for event in found]
