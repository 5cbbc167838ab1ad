import tomllib

import httpx
import jsonschema
import pytest

from api_app import Poured
from machine_double import MachineDouble
from tarewell.dosing.maintenance import ChannelNeed, TubeState
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell.setup_file.example import INTERVAL_BAR

BAR = INTERVAL_BAR.read_text("utf-8")
IMPORT = "/v1/setup/import"


async def bring_in(client: httpx.AsyncClient, text: str) -> httpx.Response:
    return await client.post(IMPORT, params={"dry_run": "false"}, content=text)


async def test_a_dry_run_is_the_rule_and_changes_nothing(client: httpx.AsyncClient) -> None:
    before = (await client.get("/v1/setup")).text
    told = (await client.post(IMPORT, content=BAR)).json()
    assert told["applied"] is False
    added = {(change["what"], change["id"]) for change in told["changes"] if change["change"] == "added"}
    assert ("recipe", "green-room-cooler") in added
    assert ("bottle", "footlight-2") in added
    changed = {change["id"]: change["fields"] for change in told["changes"] if change["change"] == "changed"}
    assert "serving_c" in changed["house-water"]
    assert (await client.get("/v1/setup")).text == before


async def test_export_import_export_is_the_same(client: httpx.AsyncClient) -> None:
    told = (await bring_in(client, BAR)).json()
    assert told["applied"] is True
    exported = await client.get("/v1/setup")
    assert exported.headers["content-type"].startswith("application/toml")
    again = (await bring_in(client, exported.text)).json()
    assert (again["changes"], again["notes"]) == ([], [])
    assert again["unchanged"] == len(told["changes"]) + told["unchanged"]
    assert (await client.get("/v1/setup")).text == exported.text


async def test_what_was_imported_pours(client: httpx.AsyncClient) -> None:
    await bring_in(client, BAR)
    drinks = (await client.get("/v1/menu")).json()["drinks"]
    assert len(drinks) == 6
    assert sum(drink["ethanol_g"] == 0 for drink in drinks) == 3
    assert [drink["blockers"] for drink in drinks] == [[]] * 6
    assert all(drink["remaining_now"] > 0 for drink in drinks)


async def test_a_flushed_channel_hinders_its_drinks(
    client: httpx.AsyncClient, machine: MachineDouble
) -> None:
    await bring_in(client, BAR)
    machine.tube_states[4] = TubeState(ChannelNeed.RINSE)
    drinks = {drink["recipe_id"]: drink for drink in (await client.get("/v1/menu")).json()["drinks"]}
    blocked = {key for key, drink in drinks.items() if drink["blockers"]}
    assert blocked == {"green-room-cooler"}
    assert drinks["green-room-cooler"]["remaining_now"] == 0
    plan = (await client.get("/v1/recipes/green-room-cooler/plan")).json()
    assert [blocker["code"] for blocker in plan["blockers"]] == ["needs_maintenance"]


async def test_where_anything_is_wrong_nothing_is_changed_and_all_is_told(client: httpx.AsyncClient) -> None:
    before = (await client.get("/v1/setup")).text
    wrong = BAR.replace("brix = 65", "brix = 120").replace('"3/4 oz"', '"3/4 pint"')
    reply = await bring_in(client, wrong)
    assert (reply.status_code, reply.json()["type"]) == (422, "/problems/setup-at-fault")
    assert [(error["line"], error["pointer"]) for error in reply.json()["errors"]] == [
        (wrong[: wrong.index("brix = 120")].count("\n") + 1, "/liquids/dress-circle-syrup/brix"),
        (wrong[: wrong.index('"3/4 pint"')].count("\n") + 1, "/recipes/matinee-fizz/steps/1/amount"),
    ]
    assert (await client.get("/v1/setup")).text == before


async def test_a_known_bottle_keeps_what_its_ledger_says(client: httpx.AsyncClient, poured: Poured) -> None:
    await bring_in(client, BAR)
    await poured(1, 50.0)
    told = (await bring_in(client, BAR)).json()
    assert told["changes"] == []
    assert len(told["notes"]) == 1
    assert "water-1" in told["notes"][0]
    shown = (await client.get("/v1/bottles/water-1")).json()
    assert shown["content_g"] == pytest.approx(shown["full_g"] - 50.4, abs=0.1)


async def test_two_bottles_trade_places_in_one_import(client: httpx.AsyncClient) -> None:
    await bring_in(client, BAR)
    swapped = BAR.replace("channel = 2\n", "", 1).replace(
        "full_ml = 700\ntare_g = 486\n\n", "full_ml = 700\ntare_g = 486\nchannel = 2\n\n", 1
    )
    told = (await bring_in(client, swapped)).json()
    assert {(change["id"], *change["fields"]) for change in told["changes"]} == {
        ("footlight-1", "channel"),
        ("footlight-2", "channel"),
    }
    assert (await client.get("/v1/bottles/footlight-2")).json()["channel"] == 2


async def test_what_was_retired_is_taken_back_into_use(client: httpx.AsyncClient) -> None:
    await bring_in(client, BAR)
    await client.delete("/v1/recipes/second-bell")
    told = (await bring_in(client, BAR)).json()
    assert [(change["id"], change["change"]) for change in told["changes"]] == [
        ("second-bell", "taken back into use")
    ]
    assert (await client.get("/v1/recipes/second-bell")).json()["active"] is True


async def test_what_the_file_does_not_name_stays(client: httpx.AsyncClient) -> None:
    await bring_in(client, 'format = 1\n[glasses.goblet]\nname = "Goblet"\nbrim_ml = 200\nheadroom_ml = 20\n')
    assert len((await client.get("/v1/liquids")).json()) == 3
    assert [glass["id"] for glass in (await client.get("/v1/glasses")).json()] == ["goblet"]


@pytest.mark.parametrize(
    ("content", "problem"),
    [(b"\xff\xfe", "bad-request"), (b"", "setup-at-fault"), (b"format = ", "setup-at-fault")],
)
async def test_what_is_no_set_up(client: httpx.AsyncClient, content: bytes, problem: str) -> None:
    reply = await client.post(IMPORT, content=content)
    assert reply.json()["type"] == f"/problems/{problem}"


async def test_a_set_up_may_be_larger_than_other_bodies_but_not_endless(client: httpx.AsyncClient) -> None:
    assert (await client.post(IMPORT, content="# " + "x" * 100_000 + "\nformat = 1")).status_code == 200
    assert (await client.post(IMPORT, content="#" * (1 << 20) + "\nformat = 1")).status_code == 413


async def test_html_and_emoji_in_a_file_are_names(client: httpx.AsyncClient) -> None:
    name = "<script>🎭</script>" + "x" * 280
    text = f'format = 1\n[liquids.odd]\nname = "{name}"\nabv_percent = 0\nsugar_g_per_l = 0\n'
    assert (await bring_in(client, text)).status_code == 200
    assert (await client.get("/v1/liquids/odd")).json()["name"] == name
    assert name in (await client.get("/v1/setup")).text


async def test_the_schema_describes_the_export(client: httpx.AsyncClient) -> None:
    await bring_in(client, BAR)
    schema = await client.get("/v1/setup/schema")
    assert schema.headers["content-type"] == "application/schema+json"
    document = tomllib.loads((await client.get("/v1/setup")).text)
    jsonschema.validate(document, schema.json(), jsonschema.Draft202012Validator)


async def test_the_boards_counters(client: httpx.AsyncClient, machine: MachineDouble) -> None:
    shown = (await client.get("/v1/machine/board")).json()
    assert (shown["frames"], shown["bad_crc"], shown["conversions_late"]) == (18211, 2, 3)
    machine.link = LinkStatus(LinkState.LOST, 3.0, "cable out", None)
    reply = await client.get("/v1/machine/board")
    assert (reply.status_code, reply.json()["type"]) == (409, "/problems/machine-not-ready")
