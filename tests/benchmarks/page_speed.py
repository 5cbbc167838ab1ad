"""How soon the page is there, and how soon it answers a touch: Chromium and the daemon on one computer.

`python tests/benchmarks/page_speed.py` measures this alone.
"""

import json
import shutil
import sys
import tempfile
from pathlib import Path
from statistics import median, quantiles
from typing import Any

sys.path.append(str(Path(__file__).parents[1] / "support"))

from playwright.sync_api import Browser

from page_browser import BUILT, chromium
from stack import stacks

LOADS = 15
ROUNDS = 6
GOAL_PAINT_MS, GOAL_ANSWER_MS = 500, 100
BETWEEN_MS = 150
WAY = ("Drinks", "Bottles", "Records", "Rounds", "Channels", "Use", "Journal", "Pours", "Set-up", "Now")
"""Links of the page, one after the other."""

_PAINTS = (
    """() => Object.fromEntries(performance.getEntriesByType('paint').map(at => [at.name, at.startTime]))"""
)

_WATCH = """() => {
    window.answered = new Map()
    new PerformanceObserver(list => {
        for (const { interactionId, duration } of list.getEntries())
            if (interactionId)
                answered.set(interactionId, Math.max(duration, answered.get(interactionId) ?? 0))
    }).observe({ type: 'event', durationThreshold: 16 })
}"""
"""Event Timing: from the touch to the next frame, in steps of 8 ms. Faster than 16 ms is not told."""


def run(folder: Path) -> dict[str, Any]:
    """First paint of a browser that was never here, and interaction to next paint of touches all over the
    page while a dose is poured."""
    if shutil.which("chromium") is None or not (BUILT / "page.js").is_file():
        return {"left out": "there is no browser, or the page is not built"}
    with chromium() as browser:
        for stack in stacks(folder):
            stack.start()
            stack.set_up()
            url = str(stack.api.base_url).removesuffix("/v1/")
            paints_ms = [_first_paint_ms(browser, url) for _ in range(LOADS)]
            stack.pour({"channel": 1, "amount_g": 200})
            touches, slow_ms = _answers_ms(browser, url)
    return {
        "first_contentful_paint_ms": _spread(paints_ms) | {"goal": GOAL_PAINT_MS},
        "interaction_to_next_paint_ms": _spread(slow_ms + [16.0] * (touches - len(slow_ms)))
        | {"goal": GOAL_ANSWER_MS},
    }


def _spread(values: list[float]) -> dict[str, float]:
    return {
        "of": len(values),
        "median": round(median(values), 1),
        "p98": round(quantiles(values, n=50, method="inclusive")[48], 1),
        "largest": round(max(values), 1),
    }


def _first_paint_ms(browser: Browser, url: str) -> float:
    """In a context of its own, so that nothing is in its cache."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto(url)
    page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length > 0")
    paints: dict[str, float] = page.evaluate(_PAINTS)
    context.close()
    return paints["first-contentful-paint"]


def _answers_ms(browser: Browser, url: str) -> tuple[int, list[float]]:
    """How many touches, and how long those took that took 16 ms or more."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(url)
    page.get_by_role("link", name="Drinks", exact=True).first.wait_for()
    page.evaluate(_WATCH)
    for name in WAY * ROUNDS:
        page.get_by_role("link", name=name, exact=True).first.click()
        page.wait_for_timeout(BETWEEN_MS)
    slow_ms: list[float] = page.evaluate("() => [...answered.values()]")
    return len(WAY) * ROUNDS, slow_ms


if __name__ == "__main__":
    print(json.dumps(run(Path(tempfile.mkdtemp())), indent=1))
