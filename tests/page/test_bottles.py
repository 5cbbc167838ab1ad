"""Bottles, in a browser: a swap in two touches, what the channel needs then, and the way back."""

from playwright.sync_api import expect

from page_browser import violations
from stack import Stack

from .conftest import Opened

expect.set_options(timeout=30_000)


def test_a_bottle_is_swapped_in_two_touches_and_the_swap_undone(bar: Stack, opened: Opened) -> None:
    bar.api.put("/bottles/water-2", json={"liquid_id": "house-water", "full_ml": 500}).raise_for_status()
    page = opened("/bottles")
    row = page.get_by_role("listitem").filter(has_text="Footlight Spirit").first
    expect(row).to_contain_text("more of Second Bell")
    before_g = bar.api.get("/bottles/spirit-1").json()["content_g"]
    assert before_g > 0

    page.get_by_role("button", name="Swap bottle 2, Footlight Spirit").click()
    expect(page).to_have_url(f"{str(bar.api.base_url).removesuffix('/v1/')}/bottles?swap=2")
    expect(page.get_by_role("heading", name="Channel 2: which bottle is new?")).to_be_focused()
    expect(page.get_by_role("checkbox")).to_be_checked()
    assert violations(page) == []

    page.get_by_role("button", name="water-2").click()
    expect(page.get_by_role("status").filter(has_text="Swapped")).to_contain_text("water-2 is on channel 2")
    need = page.get_by_role("region", name="Before channel 2 may pour")
    told = next(found for found in bar.api.get("/maintenance").json() if found["channel"] == 2)
    expect(need).to_contain_text(told["message"])
    expect(need.get_by_role("listitem")).to_have_count(len(told["steps"]))
    expect(need.get_by_role("button")).to_have_count(1)  # the steps come in order
    assert bar.api.get("/bottles/water-2").json()["channel"] == 2
    assert bar.api.get("/bottles/spirit-1").json()["content_g"] == 0

    page.get_by_role("button", name="Undo").click()  # it is offered for 20 s
    expect(need).to_have_count(0)
    expect(page.get_by_role("button", name="Undo")).to_have_count(0)
    back = bar.api.get("/bottles/spirit-1").json()
    assert (back["channel"], back["content_g"]) == (2, before_g)

    page.get_by_role("button", name="Swap bottle 2, Footlight Spirit").click()
    page.get_by_role("button", name="Weigh spirit-1").click()
    page.get_by_label("Content of spirit-1 alone, g").fill("30")
    page.get_by_role("button", name="Correct the records").click()
    expect(row).to_contain_text("Low: 6 more of Second Bell")  # 5 ml each
    assert bar.api.get("/bottles/spirit-1").json()["content_g"] == 30

    bar.api.post("/channels/2/swap", json={"bottle_id": "water-2"}).raise_for_status()
    expect(need).to_be_visible()
    assert violations(page) == []
    bar.api.post("/channels/2/swap/undo").raise_for_status()
