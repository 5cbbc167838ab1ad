"""Signing in, in a browser, at a daemon with a token; it needs no machine."""

import re
from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import Browser, expect

from page_browser import Windows, violations
from stack import Process
from tarewell.api.sign_in_tries import MAX_TRIES

TOKEN = "second-bell-and-third-bell"

expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def url(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Of a daemon whose board is not there; not without a browser."""
    folder = tmp_path_factory.mktemp("sign-in")
    settings = {"DEVICE": str(folder / "board"), "DATABASE": str(folder / "bar.sqlite"), "PORT": "0"}
    named = {"TOKEN": TOKEN, "NAME": "Interval Bar"}
    daemon = Process("tarewell.cli", ["serve"], {f"TAREWELL_{k}": v for k, v in (settings | named).items()})
    yield next(word for word in daemon.first_line().split() if word.startswith("http"))
    daemon.end()


@pytest.fixture(autouse=True)
def cleared() -> None:
    """There is no machine to clear."""


def test_an_operator_signs_in_to_the_place_asked_for_and_out_of_every_tab(windows: Windows, url: str) -> None:
    page = windows.open(f"{url}/records?day=2031-03-14")
    expect(page.get_by_role("heading", level=1)).to_have_text("Interval Bar")
    token, sign_in = page.get_by_label("Token"), page.get_by_role("button", name="Sign in")
    token.fill("first-bell")
    expect(token).to_have_attribute("type", "password")
    page.get_by_label("Show what I type").check()
    expect(token).to_have_attribute("type", "text")
    sign_in.click()
    expect(page.get_by_role("alert")).to_have_text("That is not the token of this bar")
    assert violations(page) == []
    token.fill(TOKEN)
    token.press("Enter")
    expect(page).to_have_url(f"{url}/records?day=2031-03-14")
    expect(page.get_by_role("heading", level=1)).to_contain_text("14 March 2031")

    other = page.context.new_page()
    other.goto(f"{url}/drinks")
    expect(other.get_by_role("heading", level=1)).to_have_text("Drinks")
    page.get_by_role("link", name="Sign out").click()
    sign_out = page.get_by_role("button", name="Sign out")
    expect(sign_out).to_be_visible()
    page.route("**/v1/session", lambda route: route.abort())
    sign_out.click()
    expect(page.get_by_role("alert")).to_have_text("The bar does not answer. You are still signed in.")
    page.reload()
    expect(page.get_by_role("status")).to_have_text("The bar does not answer. This page asks again.")
    page.unroute("**/v1/session")
    sign_out.click()
    expect(page.get_by_label("Token")).to_be_visible()
    expect(other).to_have_url(f"{url}/sign-in?to=%2Fdrinks")

    for _ in range(MAX_TRIES):
        assert httpx.post(f"{url}/v1/session", json={"token": "guess"}).status_code == 401
    token.fill(TOKEN)
    sign_in.click()
    expect(page.get_by_role("alert")).to_have_text(re.compile(r"^Too many wrong tokens\. Wait \d+\ss$"))
    expect(sign_in).to_have_attribute("aria-disabled", "true")
    other.close()


def test_a_guest_is_told_that_the_link_is_over(windows: Windows, url: str) -> None:
    with httpx.Client(base_url=f"{url}/v1", headers={"Authorization": f"Bearer {TOKEN}"}) as bar:
        bar.post("/service/open", json={"title": "The Paper Lantern"}).raise_for_status()
        link = bar.post("/service/link").json()["path"]
        page = windows.open(url + link)
        sentence = page.get_by_role("heading", level=1)
        expect(sentence).to_have_text("Order at the bar")
        bar.delete("/service/link").raise_for_status()
        page.reload()
        expect(sentence).to_have_text("This link is over")
