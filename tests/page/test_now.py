"""Now, in a browser, against daemon and simulated machine: what is shown, and what a press does."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from page_browser import Wifi, press, touch, violations
from stack import Stack

from .conftest import Opened

SECONDS = 30_000

expect.set_options(timeout=SECONDS)


def sentence(page: Page) -> Locator:
    return page.get_by_role("heading", level=1)


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


def mass_g(page: Page) -> float:
    """The large number; it must be one."""
    return float(page.locator(".mass span").first.inner_text().replace("\u2212", "-").replace(",", "."))


def said(page: Page, text: str) -> None:
    """Wait for a sentence, however short it stands there."""
    page.wait_for_function(
        "text => document.querySelector('h1')?.textContent === text", arg=text, timeout=SECONDS
    )


def pouring_more_than(page: Page, least_g: float) -> None:
    page.wait_for_function(
        "least => Number(document.querySelector('.mass .n3')?.textContent.replace(',', '.')) > least",
        arg=least_g,
        timeout=SECONDS,
    )


def test_a_round_begun_elsewhere_is_shown_held_by_a_key_and_poured_to_its_end(
    bar: Stack, opened: Opened
) -> None:
    page = opened()
    expect(sentence(page)).to_have_text("Ready to pour")
    assert violations(page) == []

    glasses = [{"recipe_id": "second-bell", "guest": "F 12"}, {"recipe_id": "second-bell", "guest": "F 13"}]
    begun = bar.api.post("/rounds", json={"glasses": glasses, "auto_start": True})
    assert begun.status_code == 201, begun.text
    link = begun.json()["links"]["self"].removeprefix("/v1")
    expect(sentence(page)).to_have_text("Put an empty Foyer tumbler on the platform")
    expect(page.get_by_role("list").locator("[aria-current]")).to_contain_text("F 12")
    assert violations(page) == []

    bar.bench.call("place_glass", mass_g=250.0)
    expect(sentence(page)).to_have_text("Three cubes, then confirm")
    assert mass_g(page) == pytest.approx(250.0, abs=5.0)  # the platform still swings
    touch(button(page, "Done"))
    assert violations(page) == []
    expect(sentence(page)).to_have_text("Three cubes, then confirm")
    press(button(page, "Done"))

    said(page, "Pouring House Water")
    pouring_more_than(page, 7)
    expect(page.get_by_role("img")).to_have_attribute(
        "aria-label",
        re.compile(r"Foyer tumbler: (4|5|6)\sml of Footlight Spirit and \d+\sml of House Water\."),
    )
    stop = button(page, "Stop").bounding_box()
    page.keyboard.press("Escape")
    expect(sentence(page)).to_have_text("Held")
    assert stop is not None
    for width in (1280, 320):
        page.set_viewport_size({"width": width, "height": 800})
        restart, foot = button(page, "Restart").bounding_box(), page.locator("footer").bounding_box()
        assert restart is not None
        assert foot is not None
        assert restart["y"] + restart["height"] < foot["y"] <= stop["y"]
    expect(page.locator("footer")).to_contain_text("Held. Every pump is off")
    assert violations(page) == []
    expect(page.locator(".rest")).to_have_text("at rest")
    pour = bar.api.get("/pours", params={"limit": 1}).json()[0]
    assert pour["state"] == "held"
    delivered_g = bar.bench.truth()["delivered_g"]
    assert mass_g(page) == pytest.approx(sum(pour["progress"]["delivered_g"]), abs=0.3)
    assert mass_g(page) < pour["target_g"] - 2
    page.set_viewport_size({"width": 1280, "height": 800})

    press(button(page, "Restart"))
    expect(sentence(page)).to_have_text("Take the glass away. Second Bell is ready for F 12")
    expect(page.locator(".who")).to_have_text(re.compile(r"^[\d.]+\sg of [\d.]+\sg, within tolerance$"))
    assert bar.bench.truth()["delivered_g"] != delivered_g
    assert violations(page) == []
    press(button(page, "Stop round"))
    bar.wait(lambda: bar.api.get(link).json()["state"] == "stopped")
    bar.bench.call("lift_glass")
    expect(sentence(page)).to_have_text("Ready to pour")


def test_an_alarm_is_told_with_its_cure_in_german_and_the_pour_restarted(bar: Stack, opened: Opened) -> None:
    page = opened(locale="de-CH")
    expect(sentence(page)).to_have_text("Bereit zum Ausschenken")
    assert page.evaluate("document.documentElement.lang") == "de"
    begun = bar.pour({"channel": 1, "amount_g": 30})
    said(page, "House Water läuft ein")
    pouring_more_than(page, 2)
    bar.bench.call("kink", channel=1, factor=0)
    alarm = page.get_by_role("alert").filter(has_text="Angehalten")
    expect(alarm).to_be_visible()
    raised = bar.read(begun["id"])["progress"]["alarm"]
    expect(sentence(page)).to_contain_text(raised["message"])
    cure = page.locator(".cure")
    expect(cure).to_have_text(raised["cure"])
    expect(cure).to_have_attribute("lang", "en")
    expect(page.get_by_role("link", name="Flasche 1 tauschen")).to_have_attribute("href", "/bottles?swap=1")
    assert violations(page) == []
    bar.bench.call("kink", channel=1, factor=1)
    press(button(page, "Weiter"))
    assert bar.finished(begun["id"])["state"] == "complete"
    expect(sentence(page)).to_have_text("Das Glas wegnehmen")


def test_what_was_last_weighed_is_gone_a_second_after_the_network_and_no_press_is_sent_later(
    bar: Stack, opened: Opened, wifi: Wifi
) -> None:
    page = opened(url=wifi.url)
    expect(page.locator(".clock")).to_contain_text("interval-bar")  # or it may see the pour too late
    begun = bar.pour({"channel": 1, "amount_g": 30})
    pouring_more_than(page, 3)
    page.evaluate("""() => {
        window.seen = { digitsMs: performance.now(), goneMs: null, lateMs: 0 }
        let lastMs = performance.now()
        setInterval(() => {
            const nowMs = performance.now()
            seen.lateMs = Math.max(seen.lateMs, nowMs - lastMs)
            lastMs = nowMs
        }, 50)
        new MutationObserver(() => {
            if (document.querySelector('.mass .dash') === null) seen.digitsMs = performance.now()
            else seen.goneMs ??= performance.now()
        }).observe(document.querySelector('.mass'), { subtree: true, childList: true, characterData: true })
    }""")
    wifi.lose()
    page.wait_for_function("() => seen.goneMs !== null", timeout=SECONDS)
    seen = page.evaluate("seen")
    assert seen["goneMs"] - seen["digitsMs"] < 1200 + seen["lateMs"]  # as late as timers are here
    expect(sentence(page)).to_have_text("This page does not reach the bar")
    expect(page.locator("main")).to_contain_text("Last reading at")
    assert page.get_by_role("img").get_attribute("aria-label") == "No picture: there is no reading."
    expect(page.locator("footer")).to_contain_text("No connection")
    assert violations(page) == []
    page.keyboard.press("Escape")
    page.locator(".estop").click(force=True)
    page.locator(".stop").click(force=True)
    expect(page.get_by_role("alert")).to_contain_text("It is not sent later either")

    wifi.find()
    record = bar.finished(begun["id"])
    assert record["state"] == "complete"
    assert bar.api.get("/machine").json()["latched"] is False
    expect(sentence(page)).to_have_text("Take the glass away")
    assert mass_g(page) == pytest.approx(record["glass_g"] + record["delivered_g"], abs=5)


def test_the_emergency_stop_latches_at_a_touch_and_is_released_by_holding(bar: Stack, opened: Opened) -> None:
    page = opened()
    expect(page.locator(".clock")).to_contain_text("interval-bar")
    bar.pour({"channel": 1, "amount_g": 60})
    expect(sentence(page)).to_have_text("Pouring House Water")
    assert violations(page) == []
    page.get_by_role("link", name="Records", exact=True).first.click()
    button(page, "Emergency stop").dispatch_event("pointerdown")
    bar.wait(lambda: bar.api.get("/machine").json()["latched"])
    page.get_by_role("link", name="Now", exact=True).first.click()
    expect(sentence(page)).to_have_text("Every pump is off and stays off")
    assert violations(page) == []
    release = page.locator(".hold")
    release.click(delay=150)  # not held
    assert bar.api.get("/machine").json()["latched"] is True
    release.press("Enter")
    expect(release).to_have_text("Release now?")
    page.locator(".hold").hover()
    page.mouse.down()
    bar.wait(lambda: not bar.api.get("/machine").json()["latched"])
    page.mouse.up()
    expect(sentence(page)).not_to_have_text("Every pump is off and stays off")
