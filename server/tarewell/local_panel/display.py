"""Sends lines to the board's display, one message at a time and no more than needed.

The line to the board carries one request at a time, and lease renewals come first. So only changed lines are
sent, the next one once the board has answered, and after a slow answer the display pauses: a repeated request
delays renewals.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence

from tarewell.machine.requests import NotReadyError

log = logging.getLogger(__name__)

PAUSE_S = 0.05
"""Pause between two lines."""

SLOW_S = 0.06
"""An answer that takes longer than this was late or came after a repetition."""

SLOW_PAUSE_S = 1.0


class Display:
    """Shows the newest lines; superseded ones are never sent. `write` shows one line."""

    def __init__(self, write: Callable[[int, str], Awaitable[None]]) -> None:
        self._write = write
        self._wanted: list[str] = []
        self._shown: dict[int, str] = {}
        self._more = asyncio.Event()

    def want(self, lines: Sequence[str]) -> None:
        """Show these lines as soon as possible."""
        if list(lines) != self._wanted:
            self._wanted = list(lines)
            self._more.set()

    def forget(self) -> None:
        """The display's contents are unknown: send all lines again."""
        self._shown.clear()
        self._more.set()

    async def run(self) -> None:
        """Send lines until cancelled."""
        loop = asyncio.get_running_loop()
        while True:
            await self._more.wait()
            number = self._next_line()
            if number is None:
                self._more.clear()
                continue
            text, asked_s = self._wanted[number], loop.time()
            try:
                await self._write(number, text)
            except NotReadyError as error:
                log.debug("line %s of the display is not shown: %s", number, error)
                await asyncio.sleep(SLOW_PAUSE_S)
                continue
            self._shown[number] = text
            await asyncio.sleep(SLOW_PAUSE_S if loop.time() - asked_s > SLOW_S else PAUSE_S)

    def _next_line(self) -> int | None:
        """The first line that the display does not show yet."""
        wrong = (number for number, text in enumerate(self._wanted) if self._shown.get(number) != text)
        return next(wrong, None)
