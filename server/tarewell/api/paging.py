"""Links between pages, RFC 8288."""

from urllib.parse import urlencode

from tarewell.records.values import PourPage

from .schemas.pours import PourFilter


def link_header(path: str, asked: PourFilter, page: PourPage) -> str | None:
    """The Link header of a page: `next` leads to older pours, `prev` to newer ones; None where neither is."""
    kept = asked.model_dump(mode="json", exclude_none=True, exclude={"before", "after"})
    links = [
        f'<{path}?{urlencode({**kept, cursor: pour_id})}>; rel="{relation}"'
        for relation, cursor, pour_id in (("next", "before", page.older), ("prev", "after", page.newer))
        if pour_id is not None
    ]
    return ", ".join(links) or None
