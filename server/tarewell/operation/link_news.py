"""Tells journal and live readers when the link to the board comes and goes."""

from tarewell.device.status import LinkState, LinkStatus

from .feed import EventFeed, LiveEvent
from .recorder import Recorder


class LinkNews:
    """Sees each change of the link's status. The journal gets what people follow, the feed all of it."""

    def __init__(self, recorder: Recorder, feed: EventFeed) -> None:
        self._recorder = recorder
        self._feed = feed
        self._last = LinkState.CONNECTING

    def changed(self, status: LinkStatus) -> None:
        """The link's status is another one now."""
        match status.state:
            case LinkState.OPEN if status.identity is not None:
                body = {"board_id": status.identity.board_id, "firmware": status.identity.firmware}
                self._recorder.tell("link_opened", body)
            case LinkState.LOST if self._last is LinkState.OPEN:
                self._recorder.tell("link_lost", {"reason": status.reason})
            case LinkState.INCOMPATIBLE:
                self._recorder.tell("link_incompatible", {"reason": status.reason})
        self._last = status.state
        self._feed.publish(LiveEvent("link", {"state": status.state.value, "reason": status.reason}))
