"""Rounds for real: a menu from a file, glasses from recipes over HTTP and on the command line, the record."""

import signal
import subprocess
import sys
import threading
from typing import Any

import httpx
import pytest

from stack import Stack

MENU = """
format = 1

[glasses.foyer-tumbler]
name = "Foyer Tumbler"
brim_ml = 320
headroom_ml = 40
lightest_g = 235
heaviest_g = 265

[recipes.green-room-cooler]
name = "Green Room Cooler"
glass_id = "foyer-tumbler"
steps = [
  { liquid_id = "prompters-cordial", amount = "15 ml" },
  { liquid_id = "house-water", amount = "30 ml" },
  { hand = "garnish", what = "a slice of cucumber" },
]

[recipes.second-bell]
name = "Second Bell"
glass_id = "foyer-tumbler"
steps = [{ liquid_id = "footlight-spirit", amount = "25 ml" }]

[bottles.water-1]
liquid_id = "house-water"
full_g = 1000
channel = 1

[bottles.spirit-1]
liquid_id = "footlight-spirit"
full_g = 660
channel = 2

[bottles.cordial-1]
liquid_id = "prompters-cordial"
full_g = 780
channel = 4
"""


@pytest.fixture
def bar(stack: Stack) -> Stack:
    """The stack with a menu."""
    if not stack.api.get("/recipes").json():
        answer = stack.api.post("/setup/import", params={"dry_run": False}, content=MENU.encode())
        assert answer.status_code == 200, answer.text
        assert answer.json()["applied"]
    return stack


def step(bar: Stack, link: str, wanted: str, glass: int) -> dict[str, Any]:
    """Wait until the round stands at a step of a glass; restart it where a busy computer has held it."""

    def there() -> Any:
        shown = bar.api.get(link).json()
        progress = shown["progress"] or {}
        if progress.get("step") == "held":
            bar.api.post(f"{link}/restart")
        return (progress.get("step"), progress.get("glass")) == (wanted, glass) and shown

    found: dict[str, Any] = bar.wait(there, 60)
    return found


def test_two_glasses_without_alcohol_and_one_with_over_http(bar: Stack) -> None:
    glasses = [{"recipe_id": "green-room-cooler", "count": 2}, {"recipe_id": "second-bell"}]
    begun = bar.api.post("/rounds", json={"glasses": glasses, "auto_start": True})
    assert begun.status_code == 201, begun.text
    link = begun.json()["links"]["self"].removeprefix("/v1")
    for number in (1, 2):
        bar.bench.call("place_glass", mass_g=250.0)
        shown = step(bar, link, "by_hand", number)
        assert shown["progress"]["prompt"] == "by hand: a slice of cucumber, then confirm"
        busy = bar.api.post("/pours", json={"doses": [{"channel": 1, "amount_g": 20}]})
        assert busy.json()["type"] == "/problems/machine-busy"
        assert bar.api.post(f"{link}/confirm").status_code == 202
        step(bar, link, "awaiting_removal", number + 1)
        bar.bench.call("lift_glass")
        step(bar, link, "awaiting_glass", number + 1)
    bar.bench.call("place_glass", mass_g=250.0)
    over = bar.wait(lambda: (now := bar.api.get(link).json())["state"] == "complete" and now, 60)
    bar.bench.call("lift_glass")
    first, second, bell = over["glasses"]
    for glass in (first, second):
        # 15 ml of 1.127 g/ml and 30 ml of 0.9986 g/ml, the densities that the set-up states
        assert glass["delivered"]["mass_g"] == pytest.approx(15 * 1.127 + 30 * 0.9986, abs=1.5)
        assert (glass["delivered"]["ethanol_g"], glass["state"]) == (0.0, "complete")
    # 25 ml of 40 % vol are one UK unit, 10 ml of ethanol
    assert bell["delivered"]["standard_drinks"] == pytest.approx(1.0, abs=0.05)
    assert bell["delivered"]["strength_percent_vol"] == pytest.approx(40.0, abs=0.1)
    pours = bar.api.get("/pours", params={"limit": 3}).json()
    assert [f"/v1/pours/{pour['id']}" for pour in reversed(pours)] == [
        link for glass in over["glasses"] for link in glass["pours"]
    ]
    left = {bottle["id"]: bottle["content_g"] for bottle in bar.api.get("/bottles").json()}
    assert 660 - left["spirit-1"] == pytest.approx(bell["delivered"]["mass_g"], abs=0.2)


def test_an_order_of_a_guest_is_poured_and_the_one_behind_it_waits_again(bar: Stack) -> None:
    """A guest's cookie, the queue, a round of two orders, and its stop after the first."""
    bar.wait(lambda: bar.api.get("/machine").json()["round"] is None)
    opened = bar.api.post("/service/open", json={"title": "Second night", "guests_may_order": True})
    assert opened.status_code == 201
    base = str(bar.api.base_url).removesuffix("/v1/")
    with httpx.Client(base_url=base, headers={"Origin": base}, timeout=60) as phone:
        assert phone.get(bar.api.post("/service/link").json()["path"]).status_code == 303
        refused = phone.get("/v1/machine")
        assert (refused.status_code, refused.json()["type"]) == (403, "/problems/operators-only")
        first, second = (
            phone.post("/v1/guest/orders", json={"recipe_id": "second-bell", "guest": seat}).json()["id"]
            for seat in ("C 3", "C 4")
        )

        def stands(order_id: str) -> tuple[str, int | None]:
            shown = phone.get(f"/v1/guest/orders/{order_id}").json()
            return shown["state"], shown["before"]

        assert [stands(first), stands(second)] == [("next", 0), ("waiting", 1)]
        begun = bar.api.post("/rounds", json={"orders": [1, 2], "auto_start": True}).json()
        link = begun["links"]["self"].removeprefix("/v1")
        step(bar, link, "awaiting_glass", 1)
        bar.bench.call("place_glass", mass_g=250.0)
        bar.wait(lambda: stands(first)[0] == "pouring")
        assert stands(second) == ("next", 1)
        step(bar, link, "awaiting_removal", 2)
        poured = phone.get(f"/v1/guest/orders/{first}").json()
        assert (poured["state"], poured["number"]) == ("ready", 1)
        assert poured["poured"]["volume_ml"] == pytest.approx(25.0, abs=0.8)
        bar.bench.call("lift_glass")
        bar.api.post(f"{link}/stop").raise_for_status()
        bar.wait(lambda: stands(second) == ("next", 0))
        bar.api.post("/service/close").raise_for_status()
    closed = bar.api.get("/orders", params={"over": True}).json()
    told = {(order["number"], order["state"], order["reason"]) for order in closed}
    assert told == {(1, "ready", None), (2, "sent_back", "the bar is closed")}


ANSWERS = {"the glass is ready": "start", "by hand:": "confirm", "held; restart": "restart"}
"""What a person types at a prompt. A computer with nothing to spare holds a round."""


def tarewell(bar: Stack, *args: str) -> "subprocess.Popen[str]":
    url = str(bar.api.base_url).removesuffix("/v1/")
    program = [sys.executable, "-c", "from tarewell.cli import main; main()", *args, "--url", url]
    return subprocess.Popen(
        program, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def test_a_round_on_the_command_line(bar: Stack) -> None:
    bar.wait(lambda: bar.api.get("/machine").json()["round"] is None)
    said = []
    with tarewell(bar, "round", "pour", "green-room-cooler") as child:
        give_up = threading.Timer(120, child.kill)
        give_up.start()
        assert child.stdin is not None
        assert child.stdout is not None
        assert child.stderr is not None
        for line in child.stdout:
            said.append(line)
            if "put an empty" in line:
                bar.bench.call("place_glass", mass_g=250.0)
            for prompt, command in ANSWERS.items():
                if prompt in line:
                    child.stdin.write(f"{command}\n")
                    child.stdin.flush()
        give_up.cancel()
        out, err = "".join(said), child.stderr.read()
    assert child.returncode == 0, out + err
    assert "glass 1 of 1, Green Room Cooler: put an empty Foyer Tumbler on the platform" in out
    assert "by hand: a slice of cucumber, then confirm" in out
    assert "complete" in out
    bar.bench.call("lift_glass")
    shown = tarewell(bar, "round", "show").communicate(timeout=120)[0]
    assert "Green Room Cooler" in shown
    checked = tarewell(bar, "round", "check", "green-room-cooler=99")
    out, err = checked.communicate(timeout=120)
    assert checked.returncode == 7
    assert "of 99 glasses can be poured" in out
    assert "cannot be poured now" in err
    guest = tarewell(bar, "round", "guest", "seat 14").communicate(timeout=120)[0]
    assert "0.00 standard drinks in 4 h; no limit is set" in guest


def test_a_daemon_that_is_killed_in_a_round_closes_it_with_what_was_delivered(bar: Stack) -> None:
    glasses = [{"recipe_id": "second-bell", "guest": "seat 14"}, {"recipe_id": "green-room-cooler"}]
    bar.wait(lambda: bar.api.get("/machine").json()["round"] is None)
    begun = bar.api.post("/rounds", json={"glasses": glasses, "auto_start": True}).json()
    link = begun["links"]["self"].removeprefix("/v1")
    step(bar, link, "awaiting_glass", 1)
    bar.bench.call("place_glass", mass_g=250.0)

    def poured() -> Any:
        return bar.api.get(link).json()["glasses"][0]["delivered"]["mass_g"] > 5

    def recorded() -> int:
        (leg,) = bar.api.get(link).json()["glasses"][0]["pours"]
        return len(bar.api.get(f"{leg.removeprefix('/v1')}/trace").json()["entries"])

    bar.wait(poured, 60)
    seen = recorded()
    bar.wait(lambda: recorded() > seen)
    bar.stop(signal.SIGKILL)
    bar.start()
    closed = bar.api.get(link).json()
    assert closed["state"] == "interrupted"
    bell, cooler = closed["glasses"]
    assert (bell["state"], cooler["state"]) == ("interrupted", "not_poured")
    assert bell["delivered"]["ethanol_g"] > 0
    guest = bar.api.get("/guests/seat%2014").json()
    assert guest["standard_drinks"] == pytest.approx(bell["delivered"]["standard_drinks"], abs=0.02)
    bar.wait(lambda: bar.api.get("/ready").status_code == 200)
    again = bar.api.post("/rounds", json={"glasses": glasses[1:], "auto_start": True}).json()
    assert again["progress"]["step"] == "awaiting_removal", "the glass that was begun still stands there"
    assert bar.api.post(f"{again['links']['self'].removeprefix('/v1')}/stop").status_code == 202
