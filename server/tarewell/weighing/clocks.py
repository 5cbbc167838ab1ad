"""Two clocks: the board's milliseconds, which wrap, and the host's monotonic seconds."""

from collections import deque

_WRAP_MS = 1 << 32
_HALF_MS = _WRAP_MS // 2


class BoardClock:
    """Unwraps the board's 32-bit milliseconds into seconds that only grow."""

    def __init__(self) -> None:
        self._last_ms: int | None = None
        self._total_ms = 0

    def seconds(self, board_ms: int) -> float:
        """Seconds of the board's clock; a step of up to 24 days ahead or behind is understood."""
        if self._last_ms is None:
            self._total_ms = board_ms
        else:
            self._total_ms += (board_ms - self._last_ms + _HALF_MS) % _WRAP_MS - _HALF_MS
        self._last_ms = board_ms
        return self._total_ms / 1000


class ClockMap:
    """What the board's clock shows at a host time, from when samples arrived.

    The sample that travelled fastest of the last `window_s` sets the offset, so a late sample does not
    shift it. The window is short, so that a board clock that is 1 % off moves it by a few ms only.
    """

    def __init__(self, window_s: float = 0.5) -> None:
        self._window_s = window_s
        self._offsets: deque[tuple[float, float]] = deque()

    def note(self, board_s: float, now_s: float) -> float:
        """A sample stamped `board_s` arrived at `now_s`; returns the host's time less the board's."""
        offset_s, offsets = now_s - board_s, self._offsets
        while offsets and offsets[-1][1] >= offset_s:
            offsets.pop()
        offsets.append((now_s, offset_s))
        oldest_s = now_s - self._window_s
        while offsets[0][0] < oldest_s:
            offsets.popleft()
        return offsets[0][1]
