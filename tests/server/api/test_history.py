import csv
import io
import re

import httpx
import pytest

from api_app import Poured
from machine_double import CALIBRATION, MachineDouble
from tarewell.dosing.alarms import alarm
from tarewell.dosing.events import DoseEnded, PourEnded, Raised
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.dosing.setup import DosingSettings, PourSetup
from tarewell.dosing.tolerance import Verdict
from tarewell.machine.pour_record import NewPour, RecipeNote
from tarewell.machine.round_record import NewRound
from tarewell.menu.values import Bottle
from tarewell.quantities.units import SmallMeasures
from tarewell.records.store import Store
from tarewell.rounds.feasible import Wanted, feasible
from tarewell.rounds.plan import RoundPlan
from tarewell.rounds.serving import Serving

LINK = re.compile(r'<([^>]+)>; rel="(\w+)"')


def links(reply: httpx.Response) -> dict[str, str]:
    return {relation: target for target, relation in LINK.findall(reply.headers.get("link", ""))}


async def test_next_links_walk_the_whole_history_and_prev_links_come_back(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    ids = [(await poured())["id"] for _ in range(7)]
    pages, target = [], "/v1/pours?limit=3"
    while target:
        reply = await client.get(target)
        pages.append([pour["id"] for pour in reply.json()])
        last, target = target, links(reply).get("next", "")
    assert pages == [ids[:3:-1], ids[3:0:-1], [ids[0]]]
    back, target = [], last
    while target:
        reply = await client.get(target)
        back.append([pour["id"] for pour in reply.json()])
        target = links(reply).get("prev", "")
    assert [pour for page in reversed(back) for pour in page] == ids[::-1]


async def test_filters_are_kept_in_the_links(client: httpx.AsyncClient, poured: Poured) -> None:
    for channel in (1, 4, 1, 4, 1):
        await poured(channel=channel)
    query = {"channel": 1, "state": "complete", "since": "2031-03-14T19:00:00+00:00", "limit": 2}
    first = await client.get("/v1/pours", params=query)
    second = await client.get(links(first)["next"])
    channels = [pour["doses"][0]["channel"] for pour in first.json() + second.json()]
    assert channels == [1, 1, 1]
    assert "next" not in links(second)


async def test_since_and_until_cut_the_time(client: httpx.AsyncClient, poured: Poured) -> None:
    times = [(await poured())["created_at"] for _ in range(3)]
    reply = await client.get("/v1/pours", params={"since": times[1], "until": times[2]})
    assert [pour["created_at"] for pour in reply.json()] == [times[1]]


async def ids_of(client: httpx.AsyncClient, **query: str) -> list[str]:
    reply = await client.get("/v1/pours", params=query)
    assert reply.status_code == 200, reply.text
    return [pour["id"] for pour in reply.json()][::-1]


async def test_pours_with_and_without_an_alarm(
    client: httpx.AsyncClient, machine: MachineDouble, poured: Poured
) -> None:
    quiet = (await poured())["id"]
    body = {"doses": [{"channel": 1, "amount_g": 50}]}
    loud = (await client.post("/v1/pours", json=body)).json()["id"]
    machine.pour_decides(loud, Raised(alarm("no_flow", "0.2 g in 5.0 s", 1)))
    await machine.finish([50.4])
    assert await ids_of(client, alarm="true") == [loud]
    assert await ids_of(client, alarm="false") == [quiet]
    assert (await client.get("/v1/statistics/pours", params={"alarm": "true"})).json()["pours"] == 1


async def test_pours_out_of_tolerance(client: httpx.AsyncClient, store: Store, poured: Poured) -> None:
    within = (await poured())["id"]
    plan = PourPlan((DosePlan(1, "house-water", 50.0),))
    over = (await store.pours.begin(NewPour(PourSetup(plan, CALIBRATION), "api"))).id
    dose = DoseEnded(0, 54.0, 3.1, 8.4, 0, 100.0, 110.0, 112.5, Verdict.OVER, "target")
    await store.pours.finish(over, PourEnded("complete", "target", 54.0), [dose], 251.3)
    assert await ids_of(client, out_of_tolerance="true") == [over]
    assert await ids_of(client, out_of_tolerance="false") == [within]
    (shown,) = (await client.get("/v1/pours", params={"out_of_tolerance": "true"})).json()
    # OIML R 61 in service, class X(0.5): half of 9 % up to 50 g
    assert shown["doses"][0]["tolerance_g"] == pytest.approx(2.25)
    assert shown["doses"][0]["cut_off_s"] == 10.0


async def test_pours_of_a_recipe_for_a_guest_of_a_round(client: httpx.AsyncClient, store: Store) -> None:
    await client.put(
        "/v1/glasses/foyer-tumbler", json={"name": "Foyer tumbler", "brim_ml": 320, "headroom_ml": 40}
    )
    for name in ("cooler", "still"):
        body = {"name": name, "steps": [{"liquid_id": "house-water", "amount": "50 ml"}]}
        assert (await client.put(f"/v1/recipes/{name}", json=body)).status_code == 200
    await store.bottles.put(Bottle("water-1", "house-water", 700.0, 700.0, 70.0, channel=1))
    menu = await store.menu(1000.0, DosingSettings())
    wanted = [Wanted("cooler", guest="seat 14"), Wanted("still", guest="seat 15")]
    glasses = feasible(menu, wanted, SmallMeasures()).glasses
    round_ = await store.rounds.begin(NewRound(RoundPlan(glasses, menu.liquids, menu.glasses), "api"))
    served = []
    for index, glass in enumerate(glasses):
        note = RecipeNote(wanted[index].recipe_id, "", None, str(Serving(round_.id, index, 0, 0)))
        setup = PourSetup(glass.pour_plan(0), CALIBRATION)
        pour = await store.pours.begin(NewPour(setup, "round", recipe=note))
        await store.pours.finish(pour.id, PourEnded("complete", "target", 50.0), [], 251.3)
        served.append(pour.id)
    assert await ids_of(client, recipe="cooler") == served[:1]
    assert await ids_of(client, guest="seat 15") == served[1:]
    assert await ids_of(client, guest="seat 1") == []
    shown = (await client.get(f"/v1/pours/{served[1]}")).json()
    assert shown["serving"] == {"round_id": round_.id, "glass": 2, "attempt": 1, "leg": 1, "guest": "seat 15"}


async def test_a_pour_names_the_entries_that_seal_it(
    client: httpx.AsyncClient, store: Store, poured: Poured
) -> None:
    pour = await poured()
    shown = (await client.get(pour["links"]["self"])).json()
    assert [entry["kind"] for entry in shown["journal"]] == ["pour_begun", "pour_ended"]
    (begun, *_) = await store.journal.since(shown["journal"][0]["seq"] - 1, 1)
    assert begun.hash == shown["journal"][0]["hash"]
    assert shown["steps"] == []
    (listed,) = (await client.get("/v1/pours")).json()
    assert (listed["journal"], listed["steps"]) == (None, None)


async def test_an_empty_history_has_no_links(client: httpx.AsyncClient) -> None:
    reply = await client.get("/v1/pours")
    assert reply.json() == []
    assert "link" not in reply.headers


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ({"limit": "0"}, "limit"),
        ({"limit": "501"}, "limit"),
        ({"since": "2031-03-14T19:00:00"}, "since"),
        ({"until": "yesterday"}, "until"),
        ({"state": "spilled"}, "state"),
        ({"channel": "left"}, "channel"),
        ({"colour": "red"}, "colour"),
        ({"before": "a", "after": "b"}, "query"),
        ({"day": "2031-02-30"}, "day"),
        ({"day": "2031-03-14", "until": "2031-03-15T00:00:00Z"}, "query"),
        ({"alarm": "loud"}, "alarm"),
    ],
)
async def test_bad_filters(client: httpx.AsyncClient, query: dict[str, str], parameter: str) -> None:
    for path in ("/v1/pours", "/v1/pours.csv"):
        reply = await client.get(path, params=query)
        assert reply.status_code == 422
        assert reply.json()["errors"][0]["parameter"] == parameter


async def test_the_history_as_csv_has_a_line_for_each_dose(client: httpx.AsyncClient, poured: Poured) -> None:
    ids = [(await poured(amount_g=50.0 + i))["id"] for i in range(3)]
    reply = await client.get("/v1/pours.csv", params={"limit": 1})
    assert reply.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(reply.text)))
    assert [row["pour_id"] for row in rows] == ids[::-1]
    assert (rows[0]["target_g"], rows[0]["delivered_g"], rows[0]["deviation_g"]) == ("52.0", "52.4", "0.4")


async def test_a_name_that_looks_like_a_formula_is_text_in_csv(
    client: httpx.AsyncClient, poured: Poured
) -> None:
    body = {"name": '=HYPERLINK("x")', "density_g_per_ml": 1.0}
    await client.put("/v1/liquids/house-water", json=body)
    await poured()
    (row,) = csv.DictReader(io.StringIO((await client.get("/v1/pours.csv")).text))
    assert row["liquid_name"] == '\'=HYPERLINK("x")'
