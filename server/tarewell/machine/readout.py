"""What the machine tells of its link, and a few readings a second."""

from typing import Any

from tarewell.dosing.progress import PourProgress
from tarewell.weighing.scale import Indication

from .effects import AppendEvent, Effect, Persist, Publish
from .link_status import LinkState, LinkStatus

READING_S = 0.1
"""At most one live reading in this time; masses are rounded to 0.01 g, which is finer than the scale's e."""


def link_news(before: LinkState, status: LinkStatus) -> list[Effect]:
    """A change of the link's status: the journal gets what matters to people, the live events all."""
    kept: list[Effect] = []
    match status.state:
        case LinkState.OPEN if status.identity is not None:
            body = {"board_id": status.identity.board_id, "firmware": status.identity.firmware}
            kept.append(Persist(AppendEvent("link_opened", body)))
        case LinkState.LOST if before is LinkState.OPEN:
            kept.append(Persist(AppendEvent("link_lost", {"reason": status.reason})))
        case LinkState.INCOMPATIBLE:
            kept.append(Persist(AppendEvent("link_incompatible", {"reason": status.reason})))
    return [*kept, Publish("link", {"state": status.state.value, "reason": status.reason})]


class Readout:
    """Publishes the scale's indication and the progress of the pour under way."""

    def __init__(self) -> None:
        self._last_s = float("-inf")
        self._number = 0

    def due(self, now_s: float) -> bool:
        """Whether the last reading is long enough ago."""
        return now_s - self._last_s >= READING_S

    def reading(
        self,
        shown: Indication,
        flow_g_per_s: float | None,
        followed: tuple[str, PourProgress] | None,
        now_s: float,
    ) -> Effect:
        """A live reading. Its number grows by one each time, from 1 at the machine's start."""
        self._last_s = now_s
        self._number += 1
        body: dict[str, Any] = {
            "number": self._number,
            "gross_g": round(shown.gross_g, 2),
            "net_g": round(shown.net_g, 2),
            "flow_g_per_s": None if flow_g_per_s is None else round(flow_g_per_s, 2),
            "stable": shown.stable,
            "rest_g": None if shown.rest_g is None else round(shown.rest_g, 2),
            "pour_id": None,
            "state": None,
            "dose": None,
            "delivered_g": None,
            "drink_g": None,
        }
        if followed is not None:
            pour_id, progress = followed
            delivered_g = [round(mass_g, 2) for mass_g in progress.delivered_g]
            body |= {"pour_id": pour_id, "state": progress.state.value, "dose": progress.dose}
            body |= {"delivered_g": delivered_g, "drink_g": round(sum(progress.delivered_g), 2)}
        return Publish("reading", body)
