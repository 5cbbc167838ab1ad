"""Orders of guests, in their own browser and in the operator's, against daemon and simulated machine."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Locator, Page, expect

import page_browser
from page_browser import violations
from stack import Stack

from .conftest import Opened

TITLE = "The Paper Lantern, second night"
WATER_ML = 25
WATER_G_PER_ML = 0.9986
"""Of the stack's house water: Tanaka 2001, 18 degrees C."""

expect.set_options(timeout=30_000)


@pytest.fixture
def evening(bar: Stack) -> Iterator[str]:
    """A service is open, and guests may order; the path of their link."""
    opened = bar.api.post("/service/open", json={"title": TITLE, "guests_may_order": True})
    opened.raise_for_status()
    path: str = bar.api.post("/service/link").json()["path"]
    yield path
    under_way = bar.api.get("/machine").json()["round"]
    if under_way is not None:
        bar.api.post(under_way.removeprefix("/v1") + "/stop")
    bar.wait(lambda: bar.api.post("/service/close").is_success)


def sentence(page: Page) -> Locator:
    return page.get_by_role("heading", level=1)


def ticket(page: Page, seat: str) -> Locator:
    return page.locator("button.ticket").filter(has_text=seat)


def look(guest: Page) -> None:
    """A guest takes the phone out again: the page asks at once."""
    guest.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


def press(page: Page, name: str) -> None:
    page_browser.press(page.get_by_role("button", name=name, exact=True))


def test_a_guest_orders_comes_when_called_and_the_record_shows_what_was_poured(
    bar: Stack, opened: Opened, evening: str
) -> None:
    first = bar.api.post("/orders", json={"recipe_id": "front-row", "guest": "A 1"})
    assert first.json()["number"] == 1
    guest = opened(evening)
    expect(sentence(guest)).to_have_text("What would you like?")
    expect(guest.get_by_text(TITLE)).to_be_visible()
    expect(guest).to_have_title(re.compile("^Menu: "))
    assert guest.locator(".estop, .rail, .mass").count() == 0
    water = bar.api.get("/liquids/house-water").json()
    drawn = guest.locator(".drink").filter(has_text="Front Row").locator("svg path[fill]")
    expect(drawn).to_have_attribute("fill", water["shown_colour"])
    guest.get_by_role("button", name="Order Front Row").click()
    guest.get_by_role("button", name="Order one").click()
    expect(guest.get_by_role("alert")).to_have_text("Say where you sit, or a number.")
    assert violations(guest) == []
    guest.get_by_label("Seat or number").fill("B 22")
    guest.get_by_role("button", name="Order one").click()
    expect(sentence(guest)).to_have_text("One before you")
    expect(guest).to_have_title("1 before you: order 2")
    assert violations(guest) == []
    guest.get_by_label("Ring and vibrate when it is my turn").check()
    guest.context.set_offline(True)
    expect(guest.get_by_text("No connection. Your order 2 is with the bar.")).to_be_visible()
    guest.context.set_offline(False)
    guest.reload()
    expect(sentence(guest)).to_have_text("One before you")
    expect(guest.locator("main")).not_to_contain_text("A 1")
    expect(guest.get_by_label("Ring and vibrate")).to_be_checked()
    guest.evaluate("navigator.vibrate = () => { document.body.dataset.shakes = 'yes' }")

    operator = opened()
    expect(operator.locator(".who")).to_have_text("Next: 1, Front Row for A 1")
    expect(sentence(operator)).to_have_text("Put an empty Foyer tumbler on the platform")
    expect(operator.get_by_role("button", name="Begin all 2")).to_be_visible()
    ticket(operator, "A 1").focus()
    operator.keyboard.press("ArrowRight")
    expect(ticket(operator, "B 22")).to_be_focused()
    operator.keyboard.press("Enter")
    expect(operator.get_by_role("heading", name="2, Front Row for B 22")).to_be_focused()
    assert violations(operator) == []
    press(operator, "Pour next")
    expect(operator.locator(".who")).to_have_text("Next: 2, Front Row for B 22")
    look(guest)
    expect(sentence(guest)).to_have_text("Your glass is next")
    expect(guest.locator("body")).to_have_attribute("data-shakes", "yes")

    press(operator, "Begin 2")
    expect(operator.get_by_role("list").locator("[aria-current]")).to_contain_text("B 22")
    expect(operator.locator(".rail")).to_contain_text("waiting")
    bar.bench.call("place_glass", mass_g=250.0)
    expect(sentence(guest)).to_have_text("It is being poured")
    assert bar.finished(bar.api.get("/machine").json()["pour_id"])["state"] == "complete"
    expect(sentence(guest)).to_have_text("Ready")
    expect(guest).to_have_title("Ready: order 2")
    expect(guest.locator(".slip")).to_contain_text("Say “2”")
    expect(guest.locator(".slip")).to_contain_text(re.compile(r"As poured: (24|25|26)\sml, no alcohol"))
    bar.bench.call("lift_glass")
    begun = next(found for found in bar.api.get("/orders").json() if found["number"] == 2)["round"]
    (glass,) = bar.api.get(begun.removeprefix("/v1")).json()["glasses"]
    assert (glass["order_number"], glass["guest"], glass["state"]) == (2, "B 22", "complete")
    assert glass["delivered"]["mass_g"] == pytest.approx(WATER_ML * WATER_G_PER_ML, abs=1.0)

    ticket(operator, "B 22").click()
    press(operator, "Collected")
    expect(ticket(operator, "B 22")).to_have_count(0)
    look(guest)
    expect(sentence(guest)).to_have_text("You have it")


def test_what_the_bar_sends_back_is_told_with_its_reason(bar: Stack, opened: Opened, evening: str) -> None:
    guest = opened(evening, locale="fr-CH")
    guest.get_by_role("button", name="Commander Front Row").click()
    guest.get_by_label("Place ou numéro").fill("C 3")
    guest.get_by_role("button", name="En commander un").click()
    expect(sentence(guest)).to_have_text("Votre verre est le prochain")
    operator = opened("/records")
    ticket(operator, "C 3").click()
    expect(operator.get_by_role("button", name="Send back")).to_have_attribute("aria-disabled", "true")
    operator.get_by_label("Why; the guest sees it").fill("House Water is out")
    press(operator, "Send back")
    expect(ticket(operator, "C 3")).to_have_count(0)
    look(guest)
    expect(sentence(guest)).to_have_text("Le bar l’a renvoyée")
    expect(guest.locator(".slip")).to_contain_text("House Water is out")
    guest.get_by_role("button", name="Vu").click()
    expect(sentence(guest)).to_have_text("Que désirez-vous ?")

    guest.goto(guest.url.removesuffix("/menu"))
    guest.get_by_role("button", name="Quitter la page des clients").click()
    expect(guest.locator(".estop")).to_be_visible()


def test_the_bar_is_opened_for_orders_with_a_sign_and_closed_again(bar: Stack, opened: Opened) -> None:
    page = opened("/drinks?round=front-row:D 4,front-row:D 5")
    page.get_by_role("link", name="To hang it on the rail, open the bar for orders").click()
    page.get_by_label("Name of the evening").fill(TITLE)
    press(page, "Open the bar for orders")
    code = page.get_by_role("img", name="QR code of the link for guests")
    expect(code).to_be_visible()
    path = bar.api.get("/service/link").json()["path"]
    expect(page.locator(".sign")).to_contain_text(path)
    page.wait_for_function("document.querySelector('.sign img').naturalWidth > 0")
    assert violations(page) == []
    page.get_by_label("Guests may order").uncheck()
    bar.wait(lambda: bar.api.get("/service").json()["guests_may_order"] is False)
    press(page, "End the evening’s link")
    press(page, "End it now?")
    expect(page.get_by_role("button", name="Make a link")).to_be_visible()

    page.goto(page.url.removesuffix("/guests") + "?round=front-row:D 4,front-row:D 5,front-row:D 6")
    press(page, "Hang on the rail instead")
    expect(page.locator("button.ticket")).to_have_count(3)
    page.set_viewport_size({"width": 320, "height": 800})
    expect(page.get_by_text("+ 1", exact=True)).to_be_visible()
    page.set_viewport_size({"width": 1280, "height": 800})
    expect(page.locator(".slip")).to_contain_text("No round yet")
    page.get_by_role("link", name="Link for guests").click()
    press(page, "Close the bar for orders")
    press(page, "Close it now?")
    expect(page.get_by_text("The bar is not open for orders.")).to_be_visible()
    expect(page.locator("button.ticket")).to_have_count(0)
    assert {order["reason"] for order in bar.api.get("/orders?over=true").json()} == {"the bar is closed"}
