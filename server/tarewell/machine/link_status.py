"""The status of the link to the board."""

from dataclasses import dataclass
from enum import StrEnum

from tarewell_protocol.messages import Identity


class LinkState(StrEnum):
    """State of the link to the board."""

    CONNECTING = "connecting"
    OPEN = "open"
    LOST = "lost"
    INCOMPATIBLE = "incompatible"


@dataclass(frozen=True, slots=True)
class LinkStatus:
    """The link: its state, since when (s, host monotonic), why, and who the board is while it is open."""

    state: LinkState
    since_s: float
    reason: str
    identity: Identity | None = None
