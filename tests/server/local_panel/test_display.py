"""Lines on their way to the board: few, the newest, and again after a loss. In stepped time."""

import asyncio
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, field
from typing import Any

from stepped_loop import run_stepped
from tarewell.local_panel.display import Display
from tarewell.machine.requests import NotReadyError


@dataclass
class FakeDisplay:
    """A display behind a line that takes `takes_s` for a message, or is down."""

    takes_s: float = 0.01
    down: bool = False
    sent: list[tuple[int, str]] = field(default_factory=list)
    at_s: list[float] = field(default_factory=list)

    async def write(self, line: int, text: str) -> None:
        if self.down:
            raise NotReadyError("no link")
        self.at_s.append(asyncio.get_running_loop().time())
        await asyncio.sleep(self.takes_s)
        self.sent.append((line, text))


def displayed(glass: FakeDisplay, scene: Callable[[Display], Coroutine[Any, Any, None]]) -> None:
    async def main() -> None:
        display = Display(glass.write)
        running = asyncio.create_task(display.run())
        await scene(display)
        running.cancel()
        await asyncio.wait({running})

    run_stepped(main)


def test_only_lines_that_changed_are_sent() -> None:
    glass = FakeDisplay()

    async def scene(display: Display) -> None:
        display.want(["Drink", "[House Water]"])
        await asyncio.sleep(1)
        display.want(["Drink", "[Gallery Juice]"])
        display.want(["Drink", "[Gallery Juice]"])
        await asyncio.sleep(1)

    displayed(glass, scene)
    assert glass.sent == [(0, "Drink"), (1, "[House Water]"), (1, "[Gallery Juice]")]


def test_a_hundred_changes_a_second_send_the_newest_and_never_two_at_a_time() -> None:
    glass = FakeDisplay()

    async def scene(display: Display) -> None:
        for number in range(100):
            display.want([f"{number} ml"])
            await asyncio.sleep(0.01)
        await asyncio.sleep(1)

    displayed(glass, scene)
    assert len(glass.sent) <= 20
    assert glass.sent[-1] == (0, "99 ml")
    gaps = [late - early for early, late in zip(glass.at_s, glass.at_s[1:], strict=False)]
    assert min(gaps) >= glass.takes_s


def test_after_a_slow_answer_the_line_is_left_to_others_for_a_second() -> None:
    glass = FakeDisplay(takes_s=0.1)

    async def scene(display: Display) -> None:
        display.want(["a", "b", "c"])
        await asyncio.sleep(5)

    displayed(glass, scene)
    assert len(glass.sent) == 3
    assert min(late - early for early, late in zip(glass.at_s, glass.at_s[1:], strict=False)) > 1.0


def test_what_could_not_be_shown_is_shown_when_the_line_is_back_and_a_new_display_gets_all() -> None:
    glass = FakeDisplay(down=True)

    async def scene(display: Display) -> None:
        display.want(["a", "b"])
        await asyncio.sleep(3)
        glass.down = False
        await asyncio.sleep(3)
        assert glass.sent == [(0, "a"), (1, "b")]
        display.forget()
        await asyncio.sleep(1)

    displayed(glass, scene)
    assert glass.sent == [(0, "a"), (1, "b")] * 2
