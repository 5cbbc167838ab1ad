"""Drinks, in a browser, against daemon and simulated machine: what can be poured, and a round built of it."""

import re

from playwright.sync_api import expect

from page_browser import press, touch, violations
from stack import Stack

from .conftest import Opened

expect.set_options(timeout=30_000)


def test_a_round_of_several_guests_is_built_kept_in_the_address_and_begun_once(
    bar: Stack, opened: Opened
) -> None:
    page = opened("/drinks")
    bell, water, overture = (
        page.locator(".drink").filter(has_text=name)
        for name in ("Second Bell", "Plain Water", "Long Overture")
    )
    expect(page.get_by_role("heading", level=2)).to_have_text(
        ["No round yet", "Without alcohol", "With alcohol", "Not now"]
    )
    expect(water).to_contain_text("Not checked: House Water")
    expect(bell).to_contain_text(re.compile(r"\d\.\d % vol, 0\.\d standard drinks, 25\sml, Foyer tumbler"))
    reason = next(
        drink["blockers"][0]["message"]
        for drink in bar.api.get("/menu").json()["drinks"]
        if drink["recipe_id"] == "long-overture"
    )
    expect(overture).to_contain_text(reason)
    expect(overture.get_by_role("link")).to_have_attribute("href", re.compile("^/(bottles|setup/)"))

    page.goto(page.url + "?round=" + ",".join(["second-bell"] * 90))
    possible = bar.api.post(
        "/rounds/check", json={"glasses": [{"recipe_id": "second-bell", "count": 90}]}
    ).json()["possible"]
    assert 0 < possible < 90
    expect(page.locator(".sum")).to_have_text(f"{possible} of 90 can be poured.")
    expect(page.get_by_role("button", name=f"Begin {possible} glasses", exact=True)).to_be_visible()

    page.goto(page.url.split("?")[0])
    bell.get_by_role("button", name="One more Second Bell").click()
    water.get_by_role("button", name="One more Plain Water").click()
    page.get_by_label("Seat for glass 1, Second Bell").fill("F 12, left")
    page.reload()
    expect(page.get_by_label("Seat for glass 1, Second Bell")).to_have_value("F 12, left")
    expect(page.locator(".sum")).to_have_text("All of it can be poured.")
    assert violations(page) == []

    before = bar.api.get("/rounds").json()
    begin = page.get_by_role("button", name="Begin round", exact=True)
    touch(begin)
    expect(begin).to_have_attribute("aria-disabled", "false")
    assert bar.api.get("/rounds").json() == before
    press(begin)
    expect(page.get_by_role("heading", level=1)).to_have_text("Put an empty Foyer tumbler on the platform")
    rounds = [found for found in bar.api.get("/rounds").json() if found not in before]
    assert [(glass["recipe_id"], glass["guest"]) for found in rounds for glass in found["glasses"]] == [
        ("second-bell", "F 12, left"),
        ("plain-water", None),
    ]
    assert rounds[0]["auto_start"] is True
    page.go_back()
    expect(page.locator(".slip")).to_contain_text("No round yet")
    bar.api.post(f"/rounds/{rounds[0]['id']}/stop").raise_for_status()
