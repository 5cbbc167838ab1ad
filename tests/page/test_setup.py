"""Set-up, in a browser: forms that nobody overwrites, a set-up file, the calibration as a guide."""

import re
from typing import Any

from playwright.sync_api import FilePayload, Page, expect

from page_browser import press, violations
from stack import Stack

from .conftest import Opened

PRESS_MS = 150

expect.set_options(timeout=30_000)


def _recipe(bar: Stack, amount: str) -> None:
    """`amount` of juice in the recipe that these tests edit."""
    glass = {"name": "Stalls tumbler", "brim_ml": 300, "headroom_ml": 30}
    bar.api.put("/glasses/stalls-tumbler", json=glass).raise_for_status()
    steps = [
        {"liquid_id": "house-water", "amount": "25 ml"},
        {"liquid_id": "gallery-juice", "amount": amount},
    ]
    recipe: dict[str, Any] = {"name": "House Lights", "glass_id": "stalls-tumbler", "steps": steps}
    bar.api.put("/recipes/house-lights", json=recipe).raise_for_status()


def _amounts(bar: Stack) -> list[str]:
    return [step["amount"] for step in bar.api.get("/recipes/house-lights").json()["steps"]]


def _saved(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("status").filter(has_text="Saved.")).to_be_visible()


def test_a_recipe_is_drawn_as_it_is_typed_and_saved_once_it_is_right(bar: Stack, opened: Opened) -> None:
    _recipe(bar, "100 ml")
    page = opened("/setup/recipes")
    page.get_by_role("link", name="House Lights").click()
    amount = page.get_by_role("group", name="Step 2").get_by_label("Amount")
    expect(page.get_by_role("img", name=re.compile(r"100.ml of Gallery Juice; 145.ml free"))).to_be_visible()

    amount.fill("400 ml")
    expect(
        page.get_by_role("img", name=re.compile(r"400.ml of Gallery Juice; 155.ml too much"))
    ).to_be_visible()

    amount.fill("40 mol")
    page.get_by_role("button", name="Save", exact=True).click()
    told = page.get_by_role("link", name="the unit of '40 mol' is not known")
    expect(page.get_by_role("heading", name="Not saved: 1 thing to correct")).to_be_visible()
    told.click()
    expect(amount).to_be_focused()
    expect(amount).to_have_accessible_description(re.compile("40 mol"))
    assert _amounts(bar) == ["25 ml", "100 ml"]

    page.reload()
    expect(amount).to_have_value("40 mol")  # what is typed is kept in the tab
    amount.fill("4 cl")
    page.get_by_role("button", name="Step 2 up").click()
    _saved(page)
    assert _amounts(bar) == ["4 cl", "25 ml"]
    page.reload()
    expect(page.get_by_role("group", name="Step 1").get_by_label("Amount")).to_have_value("4 cl")


def test_nobody_overwrites_what_they_have_not_seen(bar: Stack, opened: Opened) -> None:
    _recipe(bar, "100 ml")
    page = opened("/setup/recipes/house-lights")
    amount = page.get_by_role("group", name="Step 2").get_by_label("Amount")
    told = page.get_by_role("alert").filter(has_text="Not saved: somebody changed it meanwhile")

    amount.fill("110 ml")
    _recipe(bar, "120 ml")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(told).to_contain_text("In their version Gallery Juice is 120 ml, in yours 110 ml.")
    assert _amounts(bar) == ["25 ml", "120 ml"]
    assert violations(page) == []
    page.get_by_role("button", name="Keep mine and save").click()
    expect(page.get_by_role("status").filter(has_text="Saved.")).to_be_visible()
    assert _amounts(bar) == ["25 ml", "110 ml"]

    amount.fill("90 ml")
    _recipe(bar, "130 ml")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Take theirs").click()
    expect(amount).to_have_value("130 ml")
    expect(told).to_have_count(0)
    assert _amounts(bar) == ["25 ml", "130 ml"]


def test_a_glass_is_added_drawn_and_retired(bar: Stack, opened: Opened) -> None:
    page = opened("/setup/glasses?new=1")
    page.get_by_label("Name", exact=True).fill("Box goblet")
    page.get_by_label("Holds to the brim, ml").fill("300")
    page.get_by_label("Stays free below the brim, ml").fill("20,5")
    # a cylinder of 70 mm by 78 mm holds pi * 35^2 * 78 mm3 = 300.2 ml; one of 60 mm by 78 mm holds 220.5 ml
    for name, text in (("Rim across, mm", "70"), ("Base across, mm", "70"), ("Height, mm", "78")):
        page.get_by_label(name).fill(text)
    expect(page.get_by_role("status").filter(has_text="Rim, base and height")).to_contain_text("make 300")
    page.get_by_label("Rim across, mm").fill("60")
    page.get_by_label("Base across, mm").fill("60")
    expect(page.get_by_role("status").filter(has_text="Rim, base and height")).to_contain_text("make 221")
    expect(page.get_by_text("Measure the inside again")).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page).to_have_url(re.compile("/setup/glasses/box-goblet$"))
    expect(page.get_by_role("status").filter(has_text="Saved.")).to_be_visible()
    kept = bar.api.get("/glasses/box-goblet").json()
    assert (kept["name"], kept["headroom_ml"], kept["rim_mm"]) == ("Box goblet", 20.5, 60)

    page.get_by_role("button", name="Retire").click()
    expect(page.get_by_role("heading", name="Retired")).to_be_visible()
    assert bar.api.get("/glasses/box-goblet").json()["active"] is False


def test_a_liquid_keeps_a_density_that_nobody_changed(bar: Stack, opened: Opened) -> None:
    sent = {"name": "Balcony Syrup", "brix": 50, "allergens": ["nuts"]}
    before = bar.api.put("/liquids/balcony-syrup", json=sent).json()
    page = opened("/setup/liquids/balcony-syrup")
    page.get_by_label("milk").check()
    _saved(page)
    after = bar.api.get("/liquids/balcony-syrup").json()
    assert after["allergens"] == ["milk", "nuts"]
    assert {name: value for name, value in after.items() if name not in {"allergens", "etag"}} == {
        name: value for name, value in before.items() if name not in {"allergens", "etag"}
    }

    page.get_by_label("Sugar, g/l").fill("400")
    expect(page.get_by_label("How it is known")).to_have_value("composition")
    _saved(page)
    assert bar.api.get("/liquids/balcony-syrup").json()["density_origin"] == "strength and sugar"


def test_a_new_tube_is_told_twice(bar: Stack, opened: Opened) -> None:
    channel = {"liquid_id": "gallery-juice", "name": "far right"}
    bar.api.put("/channels/7", json=channel).raise_for_status()
    page = opened("/setup/channels/7")
    press(page.get_by_role("button", name="It has a new tube"))
    press(page.get_by_role("button", name="Forget what the old one taught?"))
    expect(page.get_by_text("channel 7 has a new tube: flush it with water")).to_be_visible()
    needs = {found["channel"]: found["need"] for found in bar.api.get("/maintenance").json()}
    assert needs[7] == "new_tube"


def test_a_channel_gets_another_liquid_is_primed_and_a_bottle_discarded(bar: Stack, opened: Opened) -> None:
    tonic = {"name": "Aisle Tonic", "density_g_per_ml": 1.03}
    bar.api.put("/liquids/aisle-tonic", json=tonic).raise_for_status()
    bar.api.put("/bottles/tonic-1", json={"liquid_id": "aisle-tonic", "full_ml": 500}).raise_for_status()
    page = opened("/setup/channels/3")
    page.get_by_label("Its liquid").select_option("Aisle Tonic")
    _saved(page)
    assert bar.api.get("/channels/3").json()["liquid_id"] == "aisle-tonic"
    page.get_by_role("link", name="Do it now").click()
    told = next(found["message"] for found in bar.api.get("/maintenance").json() if found["channel"] == 3)
    expect(page.get_by_role("region", name="Before channel 3 may pour")).to_contain_text(told)
    page.get_by_label("Channel to prime").select_option("5, Gallery Juice")
    page.get_by_role("button", name="Prime 5").click(delay=PRESS_MS)
    expect(page).to_have_url(re.compile(r"\d/$"))
    (begun,) = bar.api.get("/pours", params={"limit": 1}).json()
    assert (begun["purpose"], begun["doses"][0]["channel"]) == ("prime", 5)
    bar.api.post(f"/pours/{begun['id']}/stop").raise_for_status()

    page.goto(page.url + "setup/bottles/tonic-1")
    page.get_by_role("button", name="Discard it: hold for 2 s").press("Enter")
    assert bar.api.get("/bottles/tonic-1").json()["content_g"] > 0
    page.get_by_role("button", name="Discard it now?").press("Enter")
    bar.wait(lambda: bar.api.get("/bottles/tonic-1").json()["content_g"] == 0)


def _choose(page: Page, text: str) -> None:
    file: FilePayload = {"name": "bar.toml", "mimeType": "application/toml", "buffer": text.encode()}
    page.get_by_label("A set-up file (TOML)").set_input_files(file)


def test_a_file_is_looked_at_before_it_changes_anything(bar: Stack, opened: Opened) -> None:
    glass = 'format = 1\n\n[glasses.gods-mug]\nname = "Gods mug"\nbrim_ml = {brim}\nheadroom_ml = 30\n'
    page = opened("/setup/file")
    _choose(page, glass.format(brim=-5) + 'colour = "blue"\n')
    expect(page.get_by_role("heading", name="bar.toml has faults. Nothing was changed.")).to_be_visible()
    expect(page.get_by_text("the set-up has 2 faults")).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="/glasses/gods-mug/brim_ml")).to_contain_text(
        "Line 5"
    )
    expect(page.get_by_role("listitem").filter(has_text="/glasses/gods-mug/colour")).to_contain_text("Line 7")

    _choose(page, glass.format(brim=350))
    expect(page.get_by_role("heading", name="bar.toml would change 1 thing:")).to_be_visible()
    expect(page.get_by_text("Glass gods-mug: new")).to_be_visible()
    assert bar.api.get("/glasses/gods-mug").status_code == 404
    page.get_by_role("button", name="Change it").click()
    expect(page.get_by_role("heading", name="1 thing was changed by bar.toml:")).to_be_visible()
    assert bar.api.get("/glasses/gods-mug").json()["brim_ml"] == 350

    with page.expect_download() as waiting:
        page.get_by_role("link", name="Save it as a file").click()
    assert waiting.value.path().read_text("utf-8") == bar.api.get("/setup").text


def _reads_500(page: Page) -> None:
    """What the daemon calls at rest may for a moment still be the empty platform."""
    expect(page.locator(".mass")).to_have_text(re.compile(r"^(499|500)\.\dg$"))
    expect(page.locator(".rest")).to_have_text("at rest")


def test_the_scale_is_calibrated_step_by_step(bar: Stack, opened: Opened) -> None:
    before = bar.api.get("/scale/calibration").json()
    page = opened("/setup/scale/calibrate?step=4")
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_contain_text("Take everything off the platform")  # nothing was read yet
    page.get_by_role("button", name="Read it empty").click()
    expect(heading).to_be_focused()
    expect(heading).to_contain_text("Put the reference mass in the middle")
    assert violations(page) == []

    bar.bench.call("place_glass", mass_g=500.0)
    _reads_500(page)
    page.get_by_label("Reference mass, g").fill("120")
    page.get_by_role("button", name="Take the reading").click()
    expect(page.get_by_role("button", name="The mass is right: keep it")).to_be_visible()
    assert bar.api.get("/scale/calibration").json() == before
    page.reload()
    page.get_by_label("Reference mass, g").fill("500")
    page.get_by_role("button", name="Take the reading").click()
    expect(heading).to_contain_text("Take the mass off again")
    after = bar.api.get("/scale/calibration").json()
    assert after["calibrated_at"] > before["calibrated_at"]

    page.get_by_role("button", name="Check it empty").click()
    told = page.get_by_role("alert").filter(has_text="instead of 0. Something is on it")
    expect(told).to_be_visible()
    bar.bench.call("lift_glass")
    expect(told).to_be_hidden()  # it is true no longer
    page.get_by_role("button", name="Check it empty").click()
    expect(heading).to_contain_text("Put the mass on each corner in turn")
    corner = page.get_by_role("status").filter(has_text=re.compile("500.g at the"))
    page.get_by_role("button", name="Take the reading").click()
    expect(page.get_by_text(re.compile("Waits until 500.g has been put there"))).to_be_visible()
    bar.bench.call("place_glass", mass_g=500.0)
    expect(corner).to_contain_text("front right")
    page.evaluate("""() => {
        const kept = JSON.parse(sessionStorage.getItem('set-up calibrate'))
        kept.corners_g.push(499.9, 500.6)
        sessionStorage.setItem('set-up calibrate', JSON.stringify(kept))
    }""")
    page.reload()
    expect(corner).to_contain_text("back left")
    page.get_by_role("button", name="Take the reading").click()
    bar.bench.call("lift_glass")  # it waits for that: the same mass in the same place would say nothing
    expect(page.locator(".mass")).to_have_text(re.compile(r"^.?0\.\dg$"))
    expect(corner).to_contain_text("back left")
    bar.bench.call("place_glass", mass_g=500.0)
    expect(page.get_by_text(re.compile("At the back right the scale is 0.6.g off; 0.3.g is"))).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Go on").click()
    expect(heading).to_contain_text("The scale is calibrated")
    bar.bench.call("lift_glass")
    expect(page.get_by_role("definition").nth(0)).to_have_text(f"{after['counts_per_g']:.2f}")
    expect(page.get_by_role("definition").nth(1)).to_have_text(f"{before['counts_per_g']:.2f}")


def test_zero_waits_for_rest_but_not_for_a_glass_to_go(bar: Stack, opened: Opened) -> None:
    bar.bench.call("place_glass")
    page = opened("/setup/scale/zero")
    page.get_by_role("button", name="Set zero").click()
    told = page.get_by_role("alert").filter(has_text="take everything off the platform")
    expect(told).to_be_visible(timeout=15_000)  # sooner than it gives up waiting for rest
    bar.bench.call("lift_glass")
    page.get_by_role("button", name="Set zero").click()
    expect(page.get_by_role("status").filter(has_text="The empty platform reads 0 now.")).to_be_visible()


def test_every_sub_place_can_be_read_by_everybody(bar: Stack, opened: Opened) -> None:
    _recipe(bar, "100 ml")
    page = opened("/setup/page", "de-DE")
    page.get_by_label("Hell oder dunkel").select_option("dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(13, 15, 14)"
    frames = "[...document.querySelectorAll('meta[name=theme-color]')].map(frame => frame.content)"
    assert page.evaluate(frames) == ["#0d0f0e", "#0d0f0e"]
    page.get_by_label("Hell oder dunkel").select_option("")
    assert page.evaluate(frames) == ["#efefe9", "#0d0f0e"]
    for path, name in (
        ("/recipes", "Rezepte"),
        ("/recipes/house-lights", "House Lights"),
        ("/liquids?new=1", "Neue Flüssigkeit"),
        ("/glasses/stalls-tumbler", "Stalls tumbler"),
        ("/channels/1", "1, House Water"),
        ("/bottles?new=1", "Neue Flasche"),
        ("/scale", "Waage"),
        ("/cleaning", "Reinigung"),
        ("/file", "Datei"),
        ("/page", "Diese Seite"),
    ):
        page.evaluate(
            "path => { history.pushState(null, '', path); dispatchEvent(new PopStateEvent('popstate')) }",
            f"/setup{path}",
        )
        expect(page.get_by_role("heading", level=1)).to_have_text(name)
        assert (path, violations(page)) == (path, [])
    page.get_by_label("Sprache").select_option("fr")
    expect(page.get_by_role("heading", level=1)).to_have_text("Cette page")
