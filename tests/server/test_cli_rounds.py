"""Rounds on the command line: how glasses are written, and what is told of a round."""

from typing import Any

import httpx
import pytest
import typer

from command_line import Run, answer_with
from tarewell.cli.rounds import parse_wanted

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
    "detail": "the pour is held; see its alarm",
    "prompt": "held; restart, skip or stop",
    "pour": "/v1/pours/p-1",
}
ALARM = {"message": "The glass was lifted.", "detail": "0 g there", "cure": "Put it back."}


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
