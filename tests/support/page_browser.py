"""A browser for tests of the page, a network that can fail, and axe-core against what WCAG forbids."""

import os
import re
import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, sync_playwright

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

_ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
_ARGUMENTS += ["--disable-background-networking", "--disable-component-update"]

_HIGH = "document.documentElement.scrollHeight"
_FIND = """async tags => {
    const found = await axe.run(document, { runOnly: tags, resultTypes: ['violations'] })
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
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(AXE.read_text("utf-8") + "; undefined")
    before = page.viewport_size
    found = []
    for scheme in ("light", "dark"):
        for width in WIDTHS:
            page.emulate_media(color_scheme=scheme)
            page.set_viewport_size({"width": width, "height": HEIGHT})
            # as high as the page: what lies half under the foot is no smaller for that
            page.set_viewport_size({"width": width, "height": max(HEIGHT, page.evaluate(_HIGH))})
            found += [f"{scheme}, {width} px: {rule}" for rule in page.evaluate(_FIND, RULES)]
            if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
                found.append(f"{scheme}, {width} px: the page scrolls sideways")
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


def open_page(browser: Browser, url: str, locale: str) -> Page:
    """A new window of the browser at the address."""
    context = browser.new_context(
        locale=locale, color_scheme="dark", viewport={"width": 1280, "height": HEIGHT}
    )
    page = context.new_page()
    page.goto(url)
    return page
