"""Records, in a browser: a day narrowed by filters in the address, one pour with its trace and on paper, the
sub-places, the control chart."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from page_browser import violations
from stack import Stack
from tarewell.api.schemas.statistics import ChartFilter, ErrorChartView
from tarewell.charts.control_chart import control_chart
from tarewell.records.error_history import ChangeKind, ErrorHistory, JudgedDose, Lesson, NamedChange

from .conftest import Opened

BEGUN = datetime(2031, 3, 14, 19, tzinfo=UTC)
FLOW_RATES = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
"""The worked example of individuals charts in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2:
limits 45.8159 and 55.8041 (from memory). Taken for errors less 50 g."""

LATER = (*[0.9, 1.2, 0.8] * 4, 12.0)
"""Twelve in a row below the mean of them all, then one far out."""

expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def records() -> list[dict[str, Any]]:
    """What was poured for this module."""
    return []


@pytest.fixture
def poured(bar: Stack, records: list[dict[str, Any]]) -> dict[str, Any]:
    """A pour of one dose from channel 2, the same for all tests."""
    if not records:
        begun = bar.pour({"channel": 2, "amount_g": 4})

        def dripped() -> dict[str, Any] | None:
            """Its drips are weighed two seconds after its end."""
            read = bar.restarted_if_late(begun["id"])
            return read if "late_drips" in [seal["kind"] for seal in read["journal"]] else None

        records.append(bar.wait(dripped))
    assert records[0]["state"] == "complete"
    return records[0]


def shows_the_newest(page: Page, bar: Stack, least: int) -> None:
    """The first row is an entry from `least` on: the journal may go on at any time."""
    first = page.get_by_role("row").nth(1).get_by_role("cell").first
    expect(first).to_have_text(re.compile(r"^\d+$"))
    assert least <= int(first.inner_text()) <= bar.api.get("/journal").json()["entries"]


def test_a_pour_is_found_by_filters_in_the_address_and_shown_with_its_trace(
    poured: dict[str, Any], opened: Opened
) -> None:
    page = opened("/records")
    row = page.get_by_role("row").filter(has=page.locator(f"a[href='/records/pours/{poured['id']}']"))
    expect(row).to_contain_text(f"{poured['delivered_g']:.1f}\N{NO-BREAK SPACE}g of 4.0\N{NO-BREAK SPACE}g")
    assert violations(page) == []
    length = page.evaluate("history.length")
    page.get_by_label("Channel").select_option("5")
    expect(page.get_by_text("No pour on this day with these filters")).to_be_visible()
    page.get_by_role("button", name="Only with an alarm").click()
    expect(page).to_have_url(re.compile(r"/records\?channel=5&alarm=1$"))
    page.reload()
    expect(page.get_by_label("Channel")).to_have_value("5")
    expect(page.get_by_role("button", name="Only with an alarm")).to_have_attribute("aria-pressed", "true")
    page.get_by_role("button", name="Take the filters off").click()
    expect(page).to_have_url(re.compile("/records$"))
    assert page.evaluate("history.length") == length

    row.get_by_role("link").click()
    expect(page.get_by_role("img", name="Mass over time")).to_be_visible()
    cursor = page.get_by_role("slider", name="Cursor in the trace")
    cursor.press("End")
    for _ in range(5):
        cursor.press("ArrowLeft")
    read = re.search(r"^[\d.]+\ss: ([\d.]+)\sg, ", cursor.get_attribute("aria-valuetext") or "")
    assert read is not None
    assert float(read[1]) == pytest.approx(poured["delivered_g"], abs=0.3)
    cursor.press("Home")
    cursor.press("PageUp")
    expect(page.locator(".read")).to_contain_text("dose 1")
    cursor.hover()  # its middle
    middle_s = float(cursor.get_attribute("aria-valuenow") or "")
    expect(page).to_have_url(re.compile(rf"#t={middle_s:.1f}$"))
    page.reload()
    expect(cursor).to_have_attribute("aria-valuenow", f"{middle_s:g}")
    held = poured["in_glass"]
    assert held["ethanol_g"] > 0
    expect(page.locator(".pairs")).to_contain_text(f"Ethanol{held['ethanol_g']:.1f}\N{NO-BREAK SPACE}g")
    expect(page.get_by_role("region", name="Doses")).to_contain_text("Footlight Spirit, channel 2")
    expect(page.get_by_role("region", name="Doses")).to_contain_text(f"{poured['final_g']:.1f} ± ")
    seals = ", ".join(str(seal["seq"]) for seal in poured["journal"])
    expect(page.get_by_text(f"Sealed in the journal by the entries {seals}.")).to_be_visible()
    assert violations(page) == []


def test_a_pour_of_six_doses_is_printed_on_one_page(
    bar: Stack, poured: dict[str, Any], opened: Opened
) -> None:
    page = opened("/records")
    longer = {**bar.read(poured["id"]), "doses": poured["doses"] * 6}
    page.route(f"**/v1/pours/{poured['id']}", lambda route: route.fulfill(json=longer))
    page.goto(f"{page.url}/pours/{poured['id']}")
    expect(page.get_by_role("img", name="The end of dose 1, enlarged")).to_be_visible()
    expect(page.get_by_role("heading", name="Channel 2, its last doses")).to_be_visible()
    expect(page.get_by_role("region", name="Doses").get_by_role("row")).to_have_count(7)
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type /Page\b", printed)) == 1
    [(width, height)] = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed)
    # A4 in points of 1/72 in: 210 mm by 297 mm (ISO 216)
    assert float(width) == pytest.approx(210 / 25.4 * 72, abs=0.5)
    assert float(height) == pytest.approx(297 / 25.4 * 72, abs=0.5)
    page.emulate_media(media="print")
    expect(page.locator("header, footer, nav, button").filter(visible=True)).to_have_count(0)
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"


def test_sub_places_are_reached_by_their_words_and_keep_their_state_in_the_address(
    bar: Stack, poured: dict[str, Any], opened: Opened
) -> None:
    begun = bar.api.post("/rounds", json={"glasses": [{"recipe_id": "second-bell", "guest": "K 7"}]})
    assert begun.status_code == 201, begun.text
    bar.api.post(f"/rounds/{begun.json()['id']}/stop").raise_for_status()

    page = opened("/records")
    words = page.get_by_role("navigation", name="Records")
    words.get_by_role("link", name="Rounds").click()
    expect(page.get_by_role("table").filter(has_text="K 7")).to_contain_text("stopped")
    assert violations(page) == []
    words.get_by_role("link", name="Channels").click()
    page.get_by_role("link", name="Channel 2, Footlight Spirit").click()
    expect(page).to_have_url(re.compile(r"/records/channels/2\?liquid=footlight-spirit$"))
    expect(page.get_by_role("heading", name="Channel 2, Footlight Spirit")).to_be_visible()
    words.get_by_role("link", name="Use").click()
    expect(page.get_by_role("region", name="By liquid")).to_contain_text("Footlight Spirit")
    assert violations(page) == []
    page.get_by_role("button", name="Month before").click()
    expect(page).to_have_url(re.compile(r"\?month=\d{4}-\d\d$"))
    page.reload()
    expect(page.get_by_text("Nothing was used in this month.")).to_be_visible()
    page.go_back()
    expect(words.get_by_role("link", name="Channels")).to_have_attribute("aria-current", "page")
    least = bar.api.get("/journal").json()["entries"]
    words.get_by_role("link", name="Journal").click()
    shows_the_newest(page, bar, least)
    page.goto(page.url + "?before=5")
    expect(page.get_by_role("row").nth(1)).to_contain_text("4")
    expect(page.get_by_role("row")).to_have_count(5)
    assert violations(page) == []
    page.get_by_role("link", name="The newest").click()
    expect(page.get_by_role("row").nth(5)).to_be_visible()
    shows_the_newest(page, bar, least)
    broken = bar.api.get("/journal").json() | {
        "state": "broken",
        "fault": {"seq": 3, "message": "a row of liquid was changed"},
    }
    page.route("**/v1/journal", lambda route: route.fulfill(json=broken))
    page.reload()
    expect(page.get_by_role("alert").filter(has_text="broken at entry 3")).to_be_visible()
    page.get_by_role("link", name="See entry 3").click()
    expect(page.locator(".mark-w").filter(has_text=re.compile("^3$"))).to_be_in_viewport()


def chart(errors_g: tuple[float, ...]) -> str:
    """As the API answers."""
    doses = tuple(
        JudgedDose(f"pour-{number}", 0, BEGUN + timedelta(minutes=number), 20.0, error_g, "within")
        for number, error_g in enumerate(errors_g)
    )
    changed = (
        NamedChange(BEGUN + timedelta(minutes=4.5), ChangeKind.BOTTLE, "juice-3"),
        NamedChange(BEGUN + timedelta(minutes=7.5), ChangeKind.TUBE, None),
    )
    taught = (Lesson(BEGUN, 0.3, 0.02, 6.9), Lesson(BEGUN + timedelta(minutes=9), 0.28, 0.02, 6.7))
    asked = ChartFilter(channel=5, liquid="gallery-juice")
    history = ErrorHistory(doses, changed, taught)
    return ErrorChartView.of(asked, history, control_chart(errors_g)).model_dump_json()


def left_to_right(page: Page, selector: str) -> list[float]:
    """The middles of what is found."""
    return page.evaluate(  # type: ignore[no-any-return]
        """found => [...document.querySelectorAll(found)].map(item => {
            const { left, width } = item.getBoundingClientRect()
            return left + width / 2
        })""",
        selector,
    )


def heights(page: Page, selector: str) -> list[float]:
    """The middles of what is found, from the top of the page down."""
    return page.evaluate(  # type: ignore[no-any-return]
        """found => [...document.querySelectorAll(found)].map(item => {
            const { top, height } = item.getBoundingClientRect()
            return top + height / 2
        })""",
        selector,
    )


def test_a_control_chart_shows_what_the_api_judged(bar: Stack, opened: Opened) -> None:
    page = opened("/records/channels/5?liquid=gallery-juice")
    errors_g = tuple(rate - 50 for rate in FLOW_RATES)
    shown = errors_g
    page.route("**/v1/statistics/errors?*", lambda route: route.fulfill(body=chart(shown), status=200))
    page.reload()
    plot = page.get_by_role("img").first
    expect(plot).to_have_attribute(
        "aria-label", "10 doses, mean error +0.8\xa0g, limits \N{MINUS SIGN}4.2\xa0g and +5.8\xa0g."
    )
    expect(page.locator(".plot-box").first.locator(".y")).to_have_text(
        ["+5.8\xa0g", "mean", "\N{MINUS SIGN}4.2\xa0g"]
    )
    # what is between the limits by numbers is between the lines by sight, and as far apart
    (upper, lower), points = heights(page, "svg .p-planned")[::-1], heights(page, ".pt")
    for error_g, point in zip(errors_g, points, strict=True):
        share = (point - upper) / (lower - upper)
        assert abs(share - (5.8041 - error_g) / (5.8041 + 4.1841)) < 0.02
    expect(page.locator(".pt.out")).to_have_count(0)
    bottle = left_to_right(page, ".plot-box .p-cut")[0]
    middles = left_to_right(page, ".pt")
    assert middles[4] < bottle < middles[5]
    expect(page.get_by_text("bottle juice-3").first).to_be_visible()
    expect(page.get_by_text("new tube").first).to_be_visible()
    assert violations(page) == []

    shown = (*errors_g, *LATER)
    page.reload()
    expect(page.locator(".pt.out")).to_have_count(1)
    expect(page.get_by_text("a run of 12")).to_be_visible()
    expect(page.get_by_text(re.compile(r"^beyond, \d\d:22$"))).to_be_visible()
    shown = errors_g[:7]
    page.reload()
    expect(page.get_by_text("Too few for limits", exact=True)).to_be_visible()
