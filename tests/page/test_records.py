"""Records, in a browser: a day narrowed by filters in the address, and one pour with its trace."""

from urllib.parse import parse_qs, urlsplit

from playwright.sync_api import Page, expect

from page_browser import violations
from stack import Stack

from .conftest import Opened

expect.set_options(timeout=30_000)


def query(page: Page) -> dict[str, list[str]]:
    return parse_qs(urlsplit(page.url).query)


def test_a_pour_is_found_by_filters_in_the_address_and_shown_with_its_trace(
    bar: Stack, opened: Opened
) -> None:
    poured = bar.finished(bar.pour({"channel": 2, "amount_g": 4})["id"])
    assert poured["state"] == "complete"

    page = opened("/records")
    row = page.get_by_role("row").filter(has_text="of 4.0")
    expect(row).to_contain_text(f"{poured['delivered_g']:.1f}\N{NO-BREAK SPACE}g of 4.0\N{NO-BREAK SPACE}g")
    assert violations(page) == []
    length = page.evaluate("history.length")
    page.get_by_label("Channel").select_option("5")
    expect(page.get_by_text("No pour on this day with these filters")).to_be_visible()
    page.get_by_role("button", name="Only with an alarm").click()
    assert query(page) == {"channel": ["5"], "alarm": ["1"]}
    page.reload()
    expect(page.get_by_label("Channel")).to_have_value("5")
    expect(page.get_by_role("button", name="Only with an alarm")).to_have_attribute("aria-pressed", "true")
    page.get_by_role("button", name="Take the filters off").click()
    assert query(page) == {}
    assert page.evaluate("history.length") == length

    row.get_by_role("link").click()
    expect(page.get_by_role("img", name="Mass over time")).to_be_visible()
    expect(page.get_by_role("region", name="Doses")).to_contain_text("Footlight Spirit, channel 2")
    seals = ", ".join(str(seal["seq"]) for seal in poured["journal"])
    expect(page.get_by_text(f"Sealed in the journal by the entries {seals}.")).to_be_visible()
    # what is scrolled half under the foot counts as too small to touch
    page.evaluate("document.querySelector('footer').style.position = 'static'")
    assert violations(page) == []
