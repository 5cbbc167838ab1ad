"""Live readings for people: a few each second, whatever the sample rate."""

from typing import Any

from tarewell.weighing.scale import Indication

from .feed import EventFeed, LiveEvent
from .runner import Runner

READING_S = 0.1
"""At most one live reading in this time; masses are rounded to 0.01 g, which is finer than the scale's e."""


class Readings:
    """Publishes what the scale shows and, while there is one, how the pour stands."""

    def __init__(self, feed: EventFeed) -> None:
        self._feed = feed
        self._last_s = float("-inf")

    def offer(
        self, shown: Indication | None, flow_g_per_s: float | None, runner: Runner | None, now_s: float
    ) -> None:
        """Publish, unless there is nothing to show or the last time is too short ago."""
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
        if runner is not None:
            delivered_g = [round(mass_g, 2) for mass_g in runner.progress.delivered_g]
            body |= {"pour_id": runner.pour_id, "state": runner.state.value, "delivered_g": delivered_g}
        self._feed.publish(LiveEvent("reading", body))
