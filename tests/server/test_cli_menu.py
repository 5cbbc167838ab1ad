"""The commands about menu and stock, against answers with the shape that the API describes."""

import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import httpx
import pytest
from pydantic import BaseModel

from command_line import Run, answer_with
from tarewell.api.schemas import drinks, maintenance, recipes, setups, stock
from tarewell.quantities.units import SmallMeasures
from tarewell.setup_file.document import json_schema_text
from tarewell.setup_file.reading import read_setup
from tarewell.setup_file.setup import Setup


def example(view: type[BaseModel]) -> dict[str, Any]:
    extra: Any = view.model_config["json_schema_extra"]
    found: dict[str, Any] = json.loads(json.dumps(extra["examples"][0]))
    return found


MENU = example(drinks.MenuView)
PLAN = example(drinks.DrinkView)
STOCK = example(stock.StockView)
MOVEMENT = example(stock.MovementView)
BOTTLE = example(stock.BottleView)
RECIPE = example(recipes.RecipeView)
NEED = example(maintenance.NeedView)
IMPORT = example(setups.ImportView)

Answers = Callable[[dict[str, Any]], list[httpx.Request]]


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Answers:
    """Sets what the daemon answers by method and path; gives the list of what it was asked."""

    def answer(replies: dict[str, Any]) -> list[httpx.Request]:
        asked: list[httpx.Request] = []

        def handler(request: httpx.Request) -> httpx.Response:
            asked.append(request)
            reply = replies[f"{request.method} {request.url.path}"]
            return reply if isinstance(reply, httpx.Response) else httpx.Response(200, json=reply)

        answer_with(monkeypatch, handler)
        return asked

    return answer


def test_the_menu_shows_strength_allergens_and_how_many_remain(run: Run, answers: Answers) -> None:
    strong = {
        **MENU["drinks"][0],
        "name": "[red]Second[/red] Bell",
        "strength_percent_vol": 7.25,
        "standard_drinks": 1.31,
        "strength_known": False,
        "allergens": ["sulphites"],
        "allergens_unknown": ["footlight-spirit"],
        "possible": False,
        "blockers": [{"code": "bottle_low", "message": "mount another bottle", "step": 0}],
        "remaining_now": 0,
    }
    ready = {"channel": 1, "need": "none", "message": "channel 1 is fine"}
    answers(
        {
            "GET /v1/menu": {**MENU, "drinks": [*MENU["drinks"], strong]},
            "GET /v1/maintenance": [ready, NEED],
        }
    )
    code, out, _ = run("menu", "show")
    assert code == 0
    for shown in (
        "Green Room Cooler",
        "green-room-cooler",
        "22",
        "[red]Second[/red] Bell",
        ">= 7.2",
        "sulphites; 1 not checked",
    ):
        assert shown in out
    assert "[red]Second[/red] Bell: mount another bottle" in out
    assert NEED["message"] in out
    assert ready["message"] not in out
    assert "label" in out


def test_an_empty_menu_says_what_to_do(run: Run, answers: Answers) -> None:
    answers({"GET /v1/menu": {**MENU, "drinks": []}, "GET /v1/maintenance": []})
    assert "tarewell menu import" in run("menu", "show")[1]


def test_a_plan(run: Run, answers: Answers) -> None:
    asked = answers({"GET /v1/recipes/green-room-cooler/plan": PLAN})
    code, out, _ = run("menu", "plan", "green-room-cooler", "--glass", "foyer-tumbler", "--volume-ml", "200")
    assert code == 0
    assert dict(asked[0].url.params) == {"glass": "foyer-tumbler", "volume": "200.0"}
    for shown in ("three cubes", "prompters-cordial", "52.3", "217.1 ml", "none declared"):
        assert shown in out


def test_a_plan_names_what_nobody_looked_at_for_allergens(run: Run, answers: Answers) -> None:
    unknown = ["a slice of cucumber", "[b]Soda[/b]"]
    answers({"GET /v1/recipes/green-room-cooler/plan": {**PLAN, "allergens_unknown": unknown}})
    assert "not checked: a slice of cucumber, [b]Soda[/b]" in run("menu", "plan", "green-room-cooler")[1]


@pytest.mark.parametrize(
    ("args", "path", "body"),
    [
        (("menu", "show"), "/v1/menu", MENU),
        (("menu", "plan", "x"), "/v1/recipes/x/plan", PLAN),
        (("stock", "show"), "/v1/stock", STOCK),
        (("stock", "movements", "x"), "/v1/bottles/x/movements", [MOVEMENT]),
    ],
)
def test_as_json_it_is_what_the_api_gives(
    run: Run, answers: Answers, args: tuple[str, ...], path: str, body: Any
) -> None:
    answers({f"GET {path}": body})
    assert json.loads(run(*args, "--json")[1]) == body


def test_an_export_is_printed_as_it_is(run: Run, answers: Answers) -> None:
    text = 'format = 1\n\n[liquids.odd]\nname = "[b]Odd[/b] 🎭"\n'
    answers({"GET /v1/setup": httpx.Response(200, text=text)})
    assert run("menu", "export")[:2] == (0, text)


def test_an_import_first_says_what_it_would_do(run: Run, answers: Answers, tmp_path: Path) -> None:
    asked = answers({"POST /v1/setup/import": IMPORT})
    file = tmp_path / "bar.toml"
    file.write_text("format = 1\n")
    code, out, _ = run("menu", "import", str(file))
    assert code == 0
    assert asked[0].url.params["dry_run"] == "true"
    assert asked[0].content == b"format = 1\n"
    for shown in ("second-bell", "steps", "2 would change", "--apply", "keeps its 233.0 g"):
        assert shown in out


def test_an_import_that_is_applied(run: Run, answers: Answers, tmp_path: Path) -> None:
    asked = answers({"POST /v1/setup/import": {**IMPORT, "applied": True}, "GET /v1/maintenance": [NEED]})
    file = tmp_path / "bar.toml"
    file.write_text("format = 1\n")
    code, out, _ = run("menu", "import", str(file), "--apply")
    assert (code, asked[0].url.params["dry_run"]) == (0, "false")
    assert "2 changed, 31 unchanged" in out
    assert NEED["message"] in out


def test_every_fault_of_an_import_has_its_line(run: Run, answers: Answers, tmp_path: Path) -> None:
    faults = [
        {"line": 12, "pointer": "/liquids/odd/brix", "detail": "at most 80, got 120"},
        {"line": 30, "pointer": "/recipes/odd/steps/0/amount", "detail": "the unit is not known"},
    ]
    problem = {"detail": "the set-up has 2 faults; correct them all", "errors": faults}
    answers({"POST /v1/setup/import": httpx.Response(422, json=problem)})
    file = tmp_path / "bar.toml"
    file.write_text("format = 1\n")
    code, out, err = run("menu", "import", str(file), "--apply")
    assert (code, out) == (7, "")
    assert err.splitlines() == [
        f"{file}:12: /liquids/odd/brix: at most 80, got 120",
        f"{file}:30: /recipes/odd/steps/0/amount: the unit is not known",
        "tarewell: the set-up has 2 faults; correct them all",
    ]


def test_an_import_of_no_file(run: Run, tmp_path: Path) -> None:
    code, _, err = run("menu", "import", str(tmp_path / "none.toml"))
    assert code == 2
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("what", "id_", "path"),
    [
        ("liquid", "foyer-soda", "/v1/liquids/foyer-soda"),
        ("glass", "foyer-tumbler", "/v1/glasses/foyer-tumbler"),
        ("recipe", "second-bell", "/v1/recipes/second-bell"),
    ],
)
def test_what_is_retired_is_told_in_one_line(
    run: Run, answers: Answers, what: str, id_: str, path: str
) -> None:
    asked = answers({f"DELETE {path}": httpx.Response(204)})
    code, out, err = run("menu", "retire", what, id_)
    assert (code, err, len(asked)) == (0, "", 1)
    assert out.startswith(f"{what} {id_} is retired")
    assert out.count("\n") == 1


def test_what_is_in_use_is_not_retired(run: Run, answers: Answers) -> None:
    detail = "the liquid foyer-soda stands in recipe second-bell; change that first"
    answers({"DELETE /v1/liquids/foyer-soda": httpx.Response(409, json={"detail": detail})})
    assert run("menu", "retire", "liquid", "foyer-soda") == (7, "", f"tarewell: {detail}\n")


def test_an_id_never_reaches_beyond_its_kind(run: Run, answers: Answers) -> None:
    asked = answers({"DELETE /v1/liquids/../bottles/cordial-2": httpx.Response(404, json={"detail": "none"})})
    assert run("menu", "retire", "liquid", "../bottles/cordial-2")[0] == 7
    assert asked[0].url.raw_path == b"/v1/liquids/..%2Fbottles%2Fcordial-2"


def test_the_schema_needs_no_daemon(run: Run) -> None:
    assert run("menu", "schema")[:2] == (0, json_schema_text())


def test_the_example_is_a_whole_set_up_and_needs_no_daemon(run: Run) -> None:
    code, out, _ = run("menu", "example")
    setup = read_setup(out, Setup(), SmallMeasures())
    assert code == 0
    assert setup.recipes
    assert setup.bottles


def test_the_stock_shows_what_runs_low(run: Run, answers: Answers) -> None:
    low = {**BOTTLE, "id": "cordial-3", "level": "low", "content_g": 88.0, "channel": None}
    liquid = {**STOCK["liquids"][0], "bottles": [BOTTLE, low]}
    none = {**liquid, "name": "[b]Water[/b]", "bottles": []}
    answers({"GET /v1/stock": {"liquids": [liquid, none]}, "GET /v1/recipes": [RECIPE]})
    code, out, _ = run("stock", "show")
    assert code == 0
    for shown in ("cordial-2", "612.4", "shelf", "low", "[b]Water[/b]", "no bottle"):
        assert shown in out


@pytest.mark.parametrize(
    ("liquid_id", "told"),
    [("foyer-soda", "by hand"), ("house-water", "no bottle"), ("limelight", "no bottle")],
)
def test_only_what_recipes_dose_lacks_a_bottle(run: Run, answers: Answers, liquid_id: str, told: str) -> None:
    soda = {"hand": "top_up", "what": "soda", "liquid_id": "foyer-soda", "amount": "40 ml"}
    recipe = {**RECIPE, "steps": [{"liquid_id": "house-water", "amount": "1 part"}, soda]}
    liquid = {**STOCK["liquids"][0], "liquid_id": liquid_id, "bottles": []}
    answers({"GET /v1/stock": {"liquids": [liquid]}, "GET /v1/recipes": [recipe]})
    out = run("stock", "show")[1]
    assert told in out
    assert liquid_id in out


@pytest.mark.parametrize(
    ("args", "request_line", "body"),
    [
        (
            ("add", "cordial-2", "prompters-cordial", "700ml", "--tare-g", "412"),
            "PUT /v1/bottles/cordial-2",
            {
                "liquid_id": "prompters-cordial",
                "full_ml": 700.0,
                "content_g": None,
                "low_g": None,
                "tare_g": 412.0,
            },
        ),
        (("mount", "cordial-2", "4"), "POST /v1/bottles/cordial-2/mount", {"channel": 4}),
        (
            ("swap", "4", "cordial-2"),
            "POST /v1/channels/4/swap",
            {"bottle_id": "cordial-2", "emptied": False},
        ),
        (
            ("swap", "4", "cordial-2", "--emptied"),
            "POST /v1/channels/4/swap",
            {"bottle_id": "cordial-2", "emptied": True},
        ),
        (("weigh", "cordial-2", "1018.5"), "POST /v1/bottles/cordial-2/weigh", {"gross_g": 1018.5}),
        (
            ("weigh", "cordial-2", "--content-g", "606"),
            "POST /v1/bottles/cordial-2/weigh",
            {"content_g": 606.0},
        ),
        (("unmount", "cordial-2"), "POST /v1/bottles/cordial-2/unmount", None),
        (("discard", "cordial-2"), "DELETE /v1/bottles/cordial-2", None),
    ],
)
def test_what_is_done_with_a_bottle(
    run: Run, answers: Answers, args: tuple[str, ...], request_line: str, body: dict[str, Any] | None
) -> None:
    asked = answers({request_line: BOTTLE, "GET /v1/maintenance": []})
    code, out, _ = run("stock", *args)
    assert code == 0
    assert (json.loads(asked[0].content) if asked[0].content else None) == body
    assert "cordial-2: 612.4 g of prompters-cordial, enough, on channel 4" in out


@pytest.mark.parametrize(
    ("args", "request_line"),
    [
        (("mount", "cordial-2", "4"), "POST /v1/bottles/cordial-2/mount"),
        (("swap", "4", "cordial-2"), "POST /v1/channels/4/swap"),
    ],
)
def test_after_a_swap_the_channels_next_step_is_told(
    run: Run, answers: Answers, args: tuple[str, ...], request_line: str
) -> None:
    other = {**NEED, "channel": 5, "message": "about another channel"}
    answers({request_line: BOTTLE, "GET /v1/maintenance": [NEED, other]})
    out = run("stock", *args)[1]
    assert NEED["message"] in out
    assert other["message"] not in out


def test_a_new_bottle_never_replaces_one(run: Run, answers: Answers) -> None:
    asked = answers({"PUT /v1/bottles/cordial-2": httpx.Response(412, json={"detail": "it is there"})})
    code, _, err = run("stock", "add", "cordial-2", "prompters-cordial", "700ml")
    assert (code, err) == (7, "tarewell: it is there\n")
    assert asked[0].headers["If-None-Match"] == "*"


def test_the_movements_of_a_bottle_fit_a_terminal(run: Run, answers: Answers) -> None:
    at = datetime(2031, 3, 14, 18, 5).astimezone()
    opened = {"at": at.isoformat(), "kind": "opening", "change_g": 850.0, "pour": None}
    corrected = {**opened, "kind": "correction", "change_g": -1000.44}
    asked = answers({"GET /v1/bottles/cordial-2/movements": [MOVEMENT, corrected, opened]})
    code, out, _ = run("stock", "movements", "cordial-2", "--limit", "3")
    assert (code, dict(asked[0].url.params)) == (0, {"limit": "3"})
    lines = out.splitlines()
    assert max(len(line.rstrip()) for line in lines) <= 80
    assert [line.split() for line in lines[:2]] == [["change"], ["when", "why", "g", "pour"]]
    assert lines[-3].split()[2:] == ["pour", "-22.6", "01959c44-7f7a"]
    assert lines[-2].split()[2:] == ["correction", "-1000.4", "-"]
    assert lines[-1].split() == ["31-03-14", "18:05", "opening", "+850.0", "-"]


def test_a_bottle_without_movements(run: Run, answers: Answers) -> None:
    answers({"GET /v1/bottles/cordial-2/movements": []})
    assert run("stock", "movements", "cordial-2")[:2] == (0, "no movements\n")


def test_the_movements_of_no_bottle(run: Run, answers: Answers) -> None:
    answers({"GET /v1/bottles/cordial-9/movements": httpx.Response(404, json={"detail": "no such bottle"})})
    assert run("stock", "movements", "cordial-9") == (7, "", "tarewell: no such bottle\n")


def test_usage_errors(run: Run) -> None:
    for args in (
        ["stock", "weigh", "cordial-2"],
        ["stock", "weigh", "cordial-2", "5", "--content-g", "5"],
        ["stock", "add", "cordial-2", "prompters-cordial", "70cl"],
        ["stock", "mount", "cordial-2"],
        ["stock", "movements"],
        ["stock", "movements", "cordial-2", "--limit", "0"],
        ["menu", "plan"],
        ["menu", "import"],
        ["menu", "retire", "liquid"],
        ["menu", "retire", "bottle", "cordial-2"],
    ):
        code, _, err = run(*args)
        assert code == 2
        assert "Usage" in err
