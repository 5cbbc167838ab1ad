"""Rounds on the command line: how glasses are written, and what is told of a round."""

import json
from typing import Any

import httpx
import pytest
import typer

from command_line import Run, answer_with
from tarewell.api.schemas.round_requests import GlassesBody
from tarewell.cli.rounds import parse_instead, parse_wanted

LINK = "/v1/rounds/r-1"
GLASS: dict[str, Any] = {
    "glass": 1,
    "name": "Green Room Cooler",
    "guest": None,
    "state": "left_out",
    "planned": {"mass_g": 100.0, "strength_percent_vol": 0.0, "standard_drinks": 0.0, "sugar_g": 7.0},
    "delivered": None,
    "strength_known": True,
    "sugar_known": True,
}
HELD = {
    "step": "held",
    "glass": 1,
    "attempt": 1,
    "leg": 1,
    "detail": "the pour is held; see its alarm",
    "prompt": "held; restart, skip or stop",
    "pour": "/v1/pours/p-1",
}
ALARM = {"text": "The glass was lifted. (0 g there) Put it back."}


@pytest.mark.parametrize(
    ("text", "recipe", "count"),
    [("second-bell", "second-bell", 1), ("green-room-cooler=12", "green-room-cooler", 12)],
)
def test_a_recipe_and_how_many(text: str, recipe: str, count: int) -> None:
    assert parse_wanted(text) == {"recipe_id": recipe, "count": count}


@pytest.mark.parametrize(
    "text", ["", "=3", "Second Bell", "bell=", "bell=x", "bell=-1", "bell=1.5", "bell=1000"]
)
def test_another_form_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(typer.BadParameter, match="such as green-room-cooler=3"):
        parse_wanted(text)


def test_liquids_in_place_of_others() -> None:
    assert parse_instead(["foyer-soda=house-water", "limelight=prompters-cordial"]) == {
        "foyer-soda": "house-water",
        "limelight": "prompters-cordial",
    }


@pytest.mark.parametrize("text", ["", "foyer-soda", "foyer-soda=", "=house-water", "a=b=c", "A=b", "a=b,c=d"])
def test_another_form_of_instead_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(typer.BadParameter, match="such as foyer-soda=house-water"):
        parse_instead([text])


def test_one_liquid_is_not_replaced_by_two() -> None:
    with pytest.raises(typer.BadParameter, match="foyer-soda is given twice"):
        parse_instead(["foyer-soda=house-water", "foyer-soda=limelight"])


def refusing(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """The daemon refuses whatever is sent; gives the list of the bodies that it was sent."""
    asked: list[bytes] = []

    def refuse(request: httpx.Request) -> httpx.Response:
        if request.method == "GET":
            return httpx.Response(200, json={"alive": True})
        asked.append(request.content)
        return httpx.Response(409, json={"detail": "not now"})

    answer_with(monkeypatch, refuse)
    return asked


OPTIONS = ("--glass", "foyer-tumbler", "--volume-ml", "150", "--ethanol-most-g", "8")
REPLACED = ("--instead", "foyer-soda=house-water", "--instead", "limelight=prompters-cordial")


@pytest.mark.parametrize("command", ["check", "pour"])
def test_what_is_said_of_the_glasses_holds_for_each(
    run: Run, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    asked = refusing(monkeypatch)
    code, _, err = run("round", command, "green-room-cooler=2", "second-bell", *OPTIONS, *REPLACED)
    assert (code, err) == (7, "tarewell: not now\n")
    body = json.loads(asked[0])
    wanted = GlassesBody.model_validate({"glasses": body["glasses"]}).wanted()
    assert [wish.recipe_id for _, wish in wanted] == ["green-room-cooler", "green-room-cooler", "second-bell"]
    for _, wish in wanted:
        assert (wish.glass_id, wish.volume_ml, wish.max_ethanol_g) == ("foyer-tumbler", 150.0, 8.0)
        assert wish.instead == {"foyer-soda": "house-water", "limelight": "prompters-cordial"}


@pytest.mark.parametrize("command", ["check", "pour"])
def test_what_is_not_said_is_as_the_recipe_has_it(
    run: Run, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    asked = refusing(monkeypatch)
    run("round", command, "second-bell")
    ((_, wish),) = GlassesBody.model_validate({"glasses": json.loads(asked[0])["glasses"]}).wanted()
    assert (wish.glass_id, wish.volume_ml, wish.guest, wish.max_ethanol_g) == (None, None, None, None)
    assert wish.instead == {}


@pytest.mark.parametrize(
    "option", [("--volume-ml", "0"), ("--ethanol-most-g", "-1"), ("--instead", "foyer-soda"), ("--glass",)]
)
@pytest.mark.parametrize("command", ["check", "pour"])
def test_an_option_that_cannot_be_understood(run: Run, command: str, option: tuple[str, ...]) -> None:
    assert run("round", command, "second-bell", *option)[0] == 2


@pytest.mark.parametrize(("time_s", "told"), [(42.0, True), (0.0, False), (None, False)])
def test_a_check_tells_a_time_only_where_something_can_be_poured(
    run: Run, monkeypatch: pytest.MonkeyPatch, time_s: float | None, told: bool
) -> None:
    found = {"detail": "so many can be poured", "time_s": time_s, "short": []}
    answer_with(monkeypatch, lambda request: httpx.Response(200, json=found))
    code, out, _ = run("round", "check", "green-room-cooler")
    assert code == 0
    assert ("about 0.7 min" in out) is told
    assert ("min for those" in out) is told


def test_a_step_that_counts_down_is_told_once(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    prompts = iter(["stir, 3 s left", "stir, 2 s left", "stir, 1 s left"])
    step = {"step": "by_hand", "glass": 1, "attempt": 1, "leg": 2, "detail": "", "pour": None}
    looks: list[str] = []

    def round_() -> dict[str, Any]:
        prompt = next(prompts, None)
        progress = None if prompt is None else {**step, "prompt": prompt}
        state = "running" if progress else "complete"
        return {"state": state, "glasses": [GLASS], "progress": progress, "links": {"self": LINK}}

    def answer(request: httpx.Request) -> httpx.Response:
        match request.method, request.url.path:
            case "POST", "/v1/rounds":
                body = {"state": "running", "glasses": [GLASS], "progress": None, "links": {"self": LINK}}
                return httpx.Response(201, json=body)
            case "GET", "/v1/events":
                reading = 'event: reading\ndata: {"pour_id": null, "delivered_g": null}\n\n'
                headers = {"Content-Type": "text/event-stream"}
                return httpx.Response(200, text=reading * 9, headers=headers)
            case "GET", "/v1/rounds/r-1":
                looks.append("round")
                return httpx.Response(200, json=round_())
        return httpx.Response(200, json={"alive": True})

    answer_with(monkeypatch, answer)
    monkeypatch.setattr("sys.stdin", [])
    monkeypatch.setattr("tarewell.cli.round_following.LOOK_S", 0.0)
    code, out, _ = run("round", "pour", "green-room-cooler", "--auto")
    assert code == 0
    assert len(looks) >= 4, "readings make it look again"
    assert "stir, 3 s left" in out
    assert "stir, 1 s left" not in out


def test_a_held_round_tells_the_alarm_with_its_cure_and_what_may_be_typed(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = [
        {"state": "running", "glasses": [GLASS], "progress": HELD, "links": {"self": LINK}},
        {"state": "stopped", "glasses": [GLASS], "progress": None, "links": {"self": LINK}},
    ]

    def answer(request: httpx.Request) -> httpx.Response:
        match request.method, request.url.path:
            case "POST", "/v1/rounds":
                return httpx.Response(201, json=shown[0])
            case "GET", "/v1/events":
                event = "event: open\ndata: {}\n\n"
                headers = {"Content-Type": "text/event-stream"}
                return httpx.Response(200, text=event * 2, headers=headers)
            case "GET", "/v1/pours/p-1":
                return httpx.Response(200, json={"target_g": 100.0, "progress": {"alarm": ALARM}})
            case "GET", "/v1/rounds/r-1":
                return httpx.Response(200, json=shown.pop(0) if len(shown) > 1 else shown[0])
        return httpx.Response(200, json={"alive": True})

    answer_with(monkeypatch, answer)
    monkeypatch.setattr("sys.stdin", [])
    code, out, _ = run("round", "pour", "green-room-cooler", "--auto")
    assert code == 4
    assert "The glass was lifted. (0 g there) Put it back." in out
    assert "type restart, skip or stop, then Enter" in out
