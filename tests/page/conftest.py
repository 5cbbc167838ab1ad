"""One simulated machine, one daemon and one browser for all tests of a worker."""

from collections.abc import Callable, Iterator
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page

from page_browser import Wifi, chromium, open_page
from stack import Stack, stacks

MENU = """
format = 1

[glasses.foyer-tumbler]
name = "Foyer tumbler"
brim_ml = 320
headroom_ml = 40
lightest_g = 235
heaviest_g = 265

[recipes.second-bell]
name = "Second Bell"
glass_id = "foyer-tumbler"
steps = [
  { hand = "ice", what = "three cubes", ice_g = 60 },
  { liquid_id = "footlight-spirit", amount = "10 ml" },
  { liquid_id = "house-water", amount = "25 ml" },
]

[bottles.water-1]
liquid_id = "house-water"
full_g = 1000
channel = 1

[bottles.spirit-1]
liquid_id = "footlight-spirit"
full_g = 660
channel = 2
"""

Opened = Callable[..., Page]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="session")
def bar(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """Started, calibrated, stocked; not without a browser."""
    for stack in stacks(tmp_path_factory.mktemp("page")):
        stack.start()
        stack.set_up()
        answer = stack.api.post("/setup/import", params={"dry_run": False}, content=MENU.encode())
        answer.raise_for_status()
        yield stack


@pytest.fixture(autouse=True)
def cleared(bar: Stack) -> None:
    """Nothing is under way, nothing on the platform, the bottles are full, whatever was before."""
    machine = bar.api.get("/machine").json()
    for under_way in (machine["round"], machine["pour"]):
        if under_way is not None:
            bar.api.post(under_way.removeprefix("/v1") + "/stop")
    bar.wait(lambda: (now := bar.api.get("/machine").json())["pour"] is None and now["round"] is None)
    if bar.bench.truth()["glass_present"]:
        bar.bench.call("lift_glass")
    for bottle_id, content_g in (("water-1", 1000), ("spirit-1", 660)):
        full = bar.api.post(f"/bottles/{bottle_id}/weigh", json={"content_g": content_g})
        full.raise_for_status()


@pytest.fixture
def wifi(bar: Stack) -> Iterator[Wifi]:
    """A network of its own between a page and the daemon."""
    address = urlsplit(str(bar.api.base_url))
    assert address.hostname is not None
    assert address.port is not None
    found = Wifi((address.hostname, address.port))
    yield found
    found.close()


@pytest.fixture
def opened(browser: Browser, bar: Stack) -> Iterator[Opened]:
    """Opens the page in a window of its own. No script of it may fail, and its policy may forbid nothing."""
    faults: list[str] = []
    pages: list[Page] = []

    def open_at(path: str = "/", locale: str = "en-GB", url: str | None = None) -> Page:
        base = str(bar.api.base_url).removesuffix("/v1/") if url is None else url
        page = open_page(browser, base + path, locale)
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on(
            "console",
            lambda said: faults.append(said.text) if "Content Security Policy" in said.text else None,
        )
        pages.append(page)
        return page

    yield open_at
    for page in pages:
        page.context.close()
    assert faults == []
