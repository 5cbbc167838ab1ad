"""One simulated machine, one daemon and one browser for all tests of a worker."""

from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page

from page_browser import Wifi, Windows, chromium
from stack import Stack, stacks

ICE = {"hand": "ice", "what": "three cubes", "ice_g": 60}


def _dose(liquid_id: str, amount: str) -> dict[str, str]:
    return {"liquid_id": liquid_id, "amount": amount}


ITEMS: dict[str, dict[str, Any]] = {
    "/glasses/foyer-tumbler": {
        "name": "Foyer tumbler",
        "brim_ml": 320,
        "headroom_ml": 40,
        "lightest_g": 235,
        "heaviest_g": 265,
    },
    "/liquids/overture": {"name": "Overture", "density_g_per_ml": 1.02},
    "/recipes/second-bell": {
        "name": "Second Bell",
        "glass_id": "foyer-tumbler",
        "steps": [ICE, _dose("footlight-spirit", "5 ml"), _dose("house-water", "20 ml")],
    },
    "/recipes/front-row": {
        "name": "Front Row",
        "glass_id": "foyer-tumbler",
        "steps": [_dose("house-water", "25 ml")],
    },
    "/recipes/long-overture": {"name": "Long Overture", "steps": [_dose("overture", "50 ml")]},
    "/recipes/plain-water": {"name": "Plain Water", "steps": [_dose("house-water", "25 ml")]},
    "/bottles/water-1": {"liquid_id": "house-water", "full_g": 1000},
    "/bottles/spirit-1": {"liquid_id": "footlight-spirit", "full_g": 660},
}
"""What the tests share; put one by one, since an import costs a second of a processor."""

Opened = Callable[..., Page]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="session")
def all_windows(browser: Browser) -> Windows:
    """Those of a worker."""
    return Windows(browser)


@pytest.fixture(scope="session")
def bar(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """Started, calibrated, stocked; not without a browser."""
    for stack in stacks(tmp_path_factory.mktemp("page")):
        stack.start()
        stack.set_up()
        for path, item in ITEMS.items():
            stack.api.put(path, json=item).raise_for_status()
        for channel, bottle_id in ((1, "water-1"), (2, "spirit-1")):
            stack.api.post(f"/bottles/{bottle_id}/mount", json={"channel": channel}).raise_for_status()
        yield stack


@pytest.fixture(autouse=True)
def cleared(bar: Stack) -> None:
    """Nothing is under way or pinched, nothing on the platform, the bottles are full, whatever was before."""
    bar.clear()
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
def windows(all_windows: Windows) -> Iterator[Windows]:
    """No script of a page may fail, and its policy may forbid nothing."""
    all_windows.faults.clear()
    yield all_windows
    all_windows.put_back()
    assert all_windows.faults == []


@pytest.fixture
def opened(windows: Windows, bar: Stack) -> Opened:
    """Opens the bar's page in a window of its own."""

    def open_at(path: str = "/", locale: str = "en-GB", url: str | None = None) -> Page:
        base = str(bar.api.base_url).removesuffix("/v1/") if url is None else url
        return windows.open(base + path, locale)

    return open_at
