"""Publishes the link's status, and a few readings a second."""

from collections.abc import Callable
from typing import Any

from tarewell.device.status import LinkState, LinkStatus
from tarewell.dosing.pour import PourProgress
from tarewell.exchange.live import EventFeed, LiveEvent
from tarewell.weighing.scale import Indication

READING_S = 0.1
"""At most one live reading in this time; masses are rounded to 0.01 g, which is finer than the scale's e."""

Append = Callable[[str, dict[str, Any]], None]
"""Queues an event of this kind and body for the journal."""


class LinkNews:
    """Follows the link's status. The journal gets the changes that matter to people, the feed gets all."""

    def __init__(self, append: Append, feed: EventFeed) -> None:
        self._append = append
        self._feed = feed
        self._last = LinkState.CONNECTING

    def changed(self, status: LinkStatus) -> None:
        """The link's status has changed."""
        match status.state:
            case LinkState.OPEN if status.identity is not None:
                body = {"board_id": status.identity.board_id, "firmware": status.identity.firmware}
                self._append("link_opened", body)
            case LinkState.LOST if self._last is LinkState.OPEN:
                self._append("link_lost", {"reason": status.reason})
            case LinkState.INCOMPATIBLE:
                self._append("link_incompatible", {"reason": status.reason})
        self._last = status.state
        self._feed.publish(LiveEvent("link", {"state": status.state.value, "reason": status.reason}))


class Readings:
    """Publishes the scale's indication and the progress of the pour under way."""

    def __init__(self, feed: EventFeed) -> None:
        self._feed = feed
        self._last_s = float("-inf")

    def offer(
        self,
        shown: Indication | None,
        flow_g_per_s: float | None,
        followed: tuple[str, PourProgress] | None,
        now_s: float,
    ) -> None:
        """Publish, unless there is nothing to show or the last reading is too recent."""
        if shown is None or now_s - self._last_s < READING_S:
            return
        self._last_s = now_s
        body: dict[str, Any] = {
            "gross_g": round(shown.gross_g, 2),
            "net_g": round(shown.net_g, 2),
            "flow_g_per_s": None if flow_g_per_s is None else round(flow_g_per_s, 2),
            "stable": shown.stable,
            "pour_id": None,
            "state": None,
            "delivered_g": None,
        }
        if followed is not None:
            pour_id, progress = followed
            delivered_g = [round(mass_g, 2) for mass_g in progress.delivered_g]
            body |= {"pour_id": pour_id, "state": progress.state.value, "delivered_g": delivered_g}
        self._feed.publish(LiveEvent("reading", body))
