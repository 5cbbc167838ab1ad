"""A browser for tests of the page, a network that can fail, and axe-core against what WCAG forbids."""

import os
import re
import shutil
import socket
import threading
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, ViewportSize, sync_playwright

ROOT = Path(__file__).parents[2]
BUILT = ROOT / "server" / "tarewell" / "page"
AXE = ROOT / "server" / "page" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
UNSENT = re.compile("Not sent: this page does not reach the bar|Nicht gesendet")
PRESS_MS = 150
"""Longer than the 80 ms by which a press is told from a stray touch."""
MOST_PRESSES = 20
WIDTHS = (320, 1280)
HEIGHT = 800
_SIZE: ViewportSize = {"width": 1280, "height": HEIGHT}

_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
_ARGUMENTS += ["--disable-background-networking", "--disable-component-update"]

_EXTENT = """() => {
    const { scrollHeight, scrollWidth } = document.documentElement
    return [scrollHeight, scrollWidth > innerWidth]
}"""
_THEMES: list[tuple[Literal["light", "dark"], list[str]]] = [
    ("light", RULES),
    ("dark", ["color-contrast", "link-in-text-block"]),
]
"""What axe-core looks for in each: only these depend on colours, all else is the same in both."""
_FIND = """async runOnly => {
    const found = await axe.run(document, { runOnly, resultTypes: ['violations'], preload: false })
    return found.violations.map(rule => rule.id + ': ' + rule.nodes.map(node => node.html).join(' | '))
}"""


def _missing(reason: str) -> None:
    """Skip the calling test; with TAREWELL_REQUIRE_BROWSER=1, which CI sets, fail instead."""
    if os.environ.get("TAREWELL_REQUIRE_BROWSER") == "1":
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's Chromium without a window; it serves until the block ends."""
    path = shutil.which("chromium")
    if path is None:
        _missing("left out: there is no browser; on Debian: make browser (as root)")
    if not (BUILT / "page.js").is_file():
        _missing("left out: the page is not built; make page")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=_ARGUMENTS)
        yield browser
        browser.close()


def violations(page: Page) -> list[str]:
    """What axe-core finds in what the page shows now, in light and dark, narrow and wide."""
    page.evaluate("loadAxe()")
    before = page.viewport_size
    found = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": HEIGHT})
        high, sideways = page.evaluate(_EXTENT)
        if sideways:
            found.append(f"{width} px: the page scrolls sideways")
        if high > HEIGHT:  # what lies half under the foot is no smaller for that
            page.set_viewport_size({"width": width, "height": high})
        for scheme, rules in _THEMES:
            page.emulate_media(color_scheme=scheme)
            found += [f"{scheme}, {width} px: {rule}" for rule in page.evaluate(_FIND, rules)]
    if before is not None:
        page.set_viewport_size(before)
    return found


def press(button: Locator) -> None:
    """Press what starts something, long enough to be meant.

    A page that has heard nothing for a second, as on a busy computer, sends nothing and says so: once more.
    """
    unsent = button.page.get_by_role("alert").filter(has_text=UNSENT)
    for _ in range(MOST_PRESSES):
        button.click(delay=PRESS_MS)
        button.page.evaluate("new Promise(shown => requestAnimationFrame(() => setTimeout(shown)))")
        if not unsent.is_visible():
            return
        unsent.get_by_role("button").click()
    raise TimeoutError(f"pressed {MOST_PRESSES} times, and nothing was sent")


def touch(button: Locator) -> None:
    """A stray touch of wet glass: down and up at once, however busy the computer is."""
    button.evaluate("""button => {
        button.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true, isPrimary: true }))
        button.dispatchEvent(new PointerEvent('pointerup', { bubbles: true, isPrimary: true }))
        button.dispatchEvent(new MouseEvent('click', { bubbles: true, detail: 1 }))
    }""")


class Wifi:
    """A relay between page and daemon. While it is lost no byte passes; what was sent comes late, as after a
    retransmission."""

    def __init__(self, daemon: tuple[str, int]) -> None:
        self._daemon = daemon
        self._there = threading.Event()
        self._there.set()
        self._sockets: list[socket.socket] = []
        self._listening = socket.create_server(("127.0.0.1", 0))
        self._threads = [threading.Thread(target=self._accept, daemon=True)]
        self._threads[0].start()
        self.url = f"http://127.0.0.1:{self._listening.getsockname()[1]}"

    def lose(self) -> None:
        self._there.clear()

    def find(self) -> None:
        self._there.set()

    def close(self) -> None:
        self.find()
        for item in (self._listening, *self._sockets):
            with suppress(OSError):
                item.shutdown(socket.SHUT_RDWR)
        for thread in list(self._threads):
            thread.join()
        for item in (self._listening, *self._sockets):
            item.close()

    def _accept(self) -> None:
        with suppress(OSError):
            while True:
                near, _ = self._listening.accept()
                far = socket.create_connection(self._daemon)
                self._sockets += [near, far]
                for pair in ((near, far), (far, near)):
                    self._threads.append(threading.Thread(target=self._carry, args=pair, daemon=True))
                    self._threads[-1].start()

    def _carry(self, source: socket.socket, target: socket.socket) -> None:
        with suppress(OSError):
            while data := source.recv(65536):
                self._there.wait()
                target.sendall(data)
        with suppress(OSError):
            target.shutdown(socket.SHUT_WR)


class Windows:
    """Windows of a browser. A new one costs a second of a processor, so one that was put back is taken again,
    as if nobody had been there."""

    def __init__(self, browser: Browser) -> None:
        self._browser = browser
        self._free: dict[str, list[Page]] = defaultdict(list)
        self._taken: list[tuple[str, Page]] = []
        self.faults: list[str] = []
        """What scripts of the pages failed with, and what their policy forbade."""

    def open(self, url: str, locale: str = "en-GB") -> Page:
        """A window at the address."""
        page = self._free[locale].pop() if self._free[locale] else self._new(locale)
        self._taken.append((locale, page))
        page.goto(url)
        return page

    def put_back(self) -> None:
        """Nobody looks at them any more."""
        while self._taken:
            locale, page = self._taken.pop()
            page.unroute_all()
            page.context.set_offline(False)
            page.evaluate("localStorage.clear(), sessionStorage.clear()")
            page.goto("about:blank")
            page.context.clear_cookies()
            page.emulate_media(media="null", color_scheme="dark")
            page.set_viewport_size(_SIZE)
            self._free[locale].append(page)

    def _new(self, locale: str) -> Page:
        context = self._browser.new_context(locale=locale, color_scheme="dark", viewport=_SIZE)
        # read by every page, run by those that are looked at: to send it each time costs more
        context.add_init_script(
            f"window.loadAxe = () => {{ if (!window.axe) {{ {AXE.read_text('utf-8')} }} }}"
        )
        page = context.new_page()
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("console", self._hear)
        return page

    def _hear(self, said: ConsoleMessage) -> None:
        if "Content Security Policy" in said.text:
            self.faults.append(said.text)
