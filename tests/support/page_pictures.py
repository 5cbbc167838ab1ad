"""The pictures of the page in docs/pictures: an interval at the theatre bar, on the simulated machine.

`make pictures` runs this file, in about two minutes. Wide pictures are light, those of a phone dark.
"""

import json
import shutil
import socket
import tempfile
from base64 import b64decode
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import Browser, Page, expect

from page_browser import chromium
from stack import READY_S, Process, waited
from tarewell_sim.control import ControlClient

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"
WINDOWS = {"wide": (1280, 800, "light"), "phone": (360, 720, "dark")}
ROUND = [
    {"recipe_id": "second-bell", "guest": "F 12"},
    {"recipe_id": "half-hour-call", "guest": "F 13"},
    {"recipe_id": "green-room-cooler", "guest": "C 3"},
]
EVENING = {"title": "The Paper Lantern", "guests_may_order": False}
TUMBLER = {"mass_g": 246.0, "inner_diameter_mm": 65.0, "height_mm": 96.0}
ICE_G = 60.0
QUALITY = 80
POURED_G = 55.0
"""So much is in the glass in the picture of a pour."""

expect.set_options(timeout=1000 * READY_S)


@contextmanager
def demo(folder: Path) -> Iterator[tuple[str, ControlClient]]:
    """The bar of `tarewell demo --stay`: its address, and the hands that move its glasses."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    process = Process(
        "tarewell.cli",
        ["demo", "--stay", "--keep", str(folder), "--hands-port", str(port)],
        {"COLUMNS": "200"},
    )
    try:
        lines = iter(lambda: process.lines.get(timeout=READY_S), None)
        url = next(line for line in lines if "daemon at" in line).split()[-1]
        next(line for line in lines if "is on the platform" in line)
        yield url, ControlClient(f"127.0.0.1:{port}")
    finally:
        process.end()


def windows(browser: Browser, url: str) -> dict[str, Page]:
    """One page in a window of each size, with nothing that moves by itself."""
    found = {}
    for name, (width, height, scheme) in WINDOWS.items():
        context = browser.new_context(
            locale="en-GB",
            color_scheme="light" if scheme == "light" else "dark",
            reduced_motion="reduce",
            viewport={"width": width, "height": height},
        )
        found[name] = context.new_page()
        found[name].goto(url)
    return found


def take(pages: dict[str, Page], name: str, look: Callable[[Page], None], path: str | None = None) -> None:
    """A picture in each window, once `look` has waited for what it is to show."""
    for page in pages.values():
        if path is not None:
            page.goto(path)
        look(page)
    for size, page in pages.items():
        session = page.context.new_cdp_session(page)
        taken = session.send("Page.captureScreenshot", {"format": "webp", "quality": QUALITY})
        (PICTURES / f"page-{name}-{size}.webp").write_bytes(b64decode(taken["data"]))


def heading(text: str) -> Callable[[Page], None]:
    """Waits for a heading."""
    return lambda page: expect(page.get_by_role("heading", name=text).first).to_be_visible()


def main() -> None:
    """Pour the round, and look at each place on the way."""
    shutil.rmtree(PICTURES, ignore_errors=True)
    PICTURES.mkdir()
    with (
        chromium() as browser,
        tempfile.TemporaryDirectory() as folder,
        demo(Path(folder)) as (url, hands),
        httpx.Client(base_url=f"{url}/v1", timeout=READY_S) as api,
    ):
        pages = windows(browser, url)
        asked = ",".join(f"{glass['recipe_id']}:{glass['guest']}" for glass in ROUND)
        take(pages, "drinks", heading("Without alcohol"), f"{url}/drinks?round={asked}")
        take(pages, "bottles", heading("On the shelf"), f"{url}/bottles")
        take(pages, "recipe", heading("Second Bell"), f"{url}/setup/recipes/second-bell")
        api.post("/service/open", json=EVENING).raise_for_status()
        take(pages, "menu", heading("Order at the bar"), f"{url}/menu")
        api.post("/service/close").raise_for_status()
        for page in pages.values():
            page.goto(url)
        pour_id = _pour(pages, api, hands)
        take(
            pages,
            "pour",
            lambda page: expect(page.get_by_role("img", name="enlarged")).to_be_visible(),
            f"{url}/records/pours/{pour_id}",
        )
    print(json.dumps({file.name: file.stat().st_size for file in sorted(PICTURES.iterdir())}, indent=1))


def _pour(pages: dict[str, Page], api: httpx.Client, hands: ControlClient) -> str:
    """The first glass of the round: by hand, pouring, held by an alarm, poured on. Returns its pour."""
    hands.call("lift_glass")
    body = {"glasses": ROUND, "auto_start": True}
    link = _begun(api, body)

    def now() -> dict[str, Any]:
        progress: dict[str, Any] | None = api.get(link).json()["progress"]
        if progress is None:
            raise RuntimeError("the round has ended before its pictures were taken")
        return progress

    hands.call("place_glass", **TUMBLER)
    waited(lambda: now()["step"] == "by_hand")
    hands.call("place_glass", **TUMBLER, contents_g=ICE_G)
    api.post(f"{link}/confirm").raise_for_status()
    pour_id = str(waited(lambda: now()["pour"])).rsplit("/", 1)[-1]
    waited(lambda: _poured_g(api, pour_id) > POURED_G)
    take(pages, "now", heading("Pouring"))
    hands.call("kink", channel=5, factor=0)
    take(pages, "held", lambda page: expect(page.locator(".cure")).to_be_visible())
    hands.call("kink", channel=5, factor=1)
    api.post(f"{link}/restart").raise_for_status()
    waited(lambda: api.get(f"/pours/{pour_id}").json()["ended_at"])
    api.post(f"{link}/stop").raise_for_status()
    return pour_id


def _begun(api: httpx.Client, body: dict[str, Any]) -> str:
    def begin() -> str | None:
        answer = api.post("/rounds", json=body)
        if "still be on the platform" in answer.text:
            return None
        return str(answer.raise_for_status().json()["links"]["self"]).removeprefix("/v1")

    return str(waited(begin))


def _poured_g(api: httpx.Client, pour_id: str) -> float:
    progress = api.get(f"/pours/{pour_id}").json()["progress"]
    return 0.0 if progress is None else float(sum(progress["delivered_g"]))


if __name__ == "__main__":
    main()
