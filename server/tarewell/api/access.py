"""Who may ask for what: a table of every address. What it does not list is for operators alone."""

from enum import IntEnum
from fnmatch import fnmatchcase

from .page import PLACES


class Role(IntEnum):
    """What a visitor may do; each role may do what the ones before it may."""

    NOBODY = 0
    """Not signed in: the page's files, signing in, whether the daemon answers."""
    GUEST = 1
    """Came by the link of the evening: the menu, and orders of their own."""
    OPERATOR = 2
    """Everything."""


ADDRESSES: dict[Role, tuple[str, ...]] = {
    Role.NOBODY: (
        "GET /v1/health",
        "* /v1/session",
        "GET /problems/*",
        "GET /e/*",
        "GET /page/*",
        *(f"GET {place}" for place in PLACES),
        *(f"GET {place}/*" for place in PLACES if place != "/"),
    ),
    Role.GUEST: (
        "GET /v1/guest/*",
        "POST /v1/guest/orders",
        "DELETE /v1/guest/orders/*",
    ),
    Role.OPERATOR: (
        "* /docs",
        "* /openapi.json",
        "* /v1/about",
        "* /v1/alarms*",
        "* /v1/bottles*",
        "* /v1/cards",
        "* /v1/channels*",
        "* /v1/events",
        "* /v1/evenings*",
        "* /v1/glasses*",
        "* /v1/guests*",
        "* /v1/journal*",
        "* /v1/liquids*",
        "* /v1/machine*",
        "* /v1/maintenance*",
        "* /v1/menu*",
        "* /v1/now",
        "* /v1/orders*",
        "* /v1/pours*",
        "* /v1/ready",
        "* /v1/recipes*",
        "* /v1/recordings*",
        "* /v1/rounds*",
        "* /v1/scale*",
        "* /v1/service*",
        "* /v1/setup*",
        "* /v1/statistics*",
        "* /v1/stock*",
    ),
}
"""`METHOD path` by the least role that may ask for it; `*` stands for anything. HEAD counts as GET."""


def stated_role(method: str, path: str) -> Role | None:
    """The least role for a request; None: no line of the table covers it."""
    asked = f"{'GET' if method == 'HEAD' else method} {path}"
    for role, addresses in ADDRESSES.items():
        if any(fnmatchcase(asked, address) for address in addresses):
            return role
    return None
