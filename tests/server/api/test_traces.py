import csv
import io
import json

import httpx
import pytest

from api_app import Poured
from tarewell.api.routes.exports import preferred
from tarewell.dosing.events import (
    DoseBegan,
    PourCommand,
    PourCommanded,
    PourStateChanged,
    RunPump,
    Tared,
    Weighed,
)
from tarewell.dosing.traces import TraceEntry
from tarewell_protocol.messages import Direction, Run, Sample

ENTRIES = (
    TraceEntry(500.0, PourCommanded(PourCommand.START)),
    TraceEntry(500.0, PourStateChanged("awaiting_glass")),
    TraceEntry(500.0125, Weighed(Sample(1834023, 4711, -84213 + 2214 * 250, 0))),
    TraceEntry(501.5, RunPump(Run(1, Direction.FORWARD, 255, 400, 1203941, 15000))),
)


async def test_a_trace_as_json(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured(entries=ENTRIES)
    body = (await client.get(pour["links"]["trace"])).json()
    assert body["pour_id"] == pour["id"]
    rows = body["entries"]
    assert [(row["host_s"], row["what"]) for row in rows] == [
        (500.0, "Ordered"),
        (500.0, "StateChanged"),
        (500.0125, "sample"),
        (501.5, "RunPump"),
    ]
    assert (rows[2]["board_ms"], rows[2]["gross_g"]) == (1834023, 250.0)
    assert "detail" not in rows[2]
    assert rows[3]["detail"]["run"]["ceiling_counts"] == 1203941


async def test_a_trace_as_csv_by_name_or_by_accept(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured(entries=ENTRIES)
    by_name = await client.get(f"{pour['links']['trace']}.csv")
    by_accept = await client.get(pour["links"]["trace"], headers={"Accept": "text/csv"})
    assert by_name.text == by_accept.text
    assert by_name.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(by_name.text)))
    assert (rows[2]["what"], rows[2]["gross_g"], rows[2]["detail"]) == ("sample", "250.0", "")
    assert json.loads(rows[0]["detail"]) == {"order": "start"}


async def test_a_pour_that_wrote_no_trace_has_an_empty_one(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured()
    assert (await client.get(pour["links"]["trace"])).json()["entries"] == []


def swinging(seconds: float) -> list[TraceEntry]:
    """A tared glass, then readings of 10 g/s with a gap of half a second from 2 s on."""
    entries = [
        TraceEntry(500.0, PourCommanded(PourCommand.START)),
        TraceEntry(500.0, PourStateChanged("taring")),
    ]
    for number in range(round(80 * seconds)):
        at_s = number / 80
        if 2 <= at_s < 2.5:
            continue
        swing_g = 0.5 * (-1) ** number + 10 * max(0.0, at_s - 1)
        counts = round(-84213 + 2214 * (251.3 + swing_g))
        entries.append(
            TraceEntry(500.0 + at_s, Weighed(Sample(1000 + round(1000 * at_s), number, counts, 0)))
        )
        if number == 80:
            entries += [
                TraceEntry(500.0 + at_s, item)
                for item in (Tared(251.3), DoseBegan(0, 3.0), PourStateChanged("coarse_feed"))
            ]
    return entries


async def test_a_trace_thinned_for_a_width(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured(entries=swinging(6.0))
    body = (await client.get(pour["links"]["trace"], params={"points": 40})).json()
    assert (body["pour_id"], body["glass_g"]) == (pour["id"], 251.3)
    times, masses = body["readings"]["t_s"], body["readings"]["net_g"]
    assert len(times) <= 2 * 42 + 1
    assert times[0] == pytest.approx(-1.0, abs=0.02)
    assert sorted(masses[:2]) == pytest.approx([-0.5, 0.5], abs=0.01)
    assert masses.count(None) == 1
    (gap,) = body["gaps"]
    assert (gap["from_s"], gap["to_s"]) == (pytest.approx(0.99, abs=0.02), pytest.approx(1.5, abs=0.02))
    under = dict(zip(body["mass"]["t_s"], body["mass"]["net_g"], strict=True))
    errors = [abs(g - 10 * t) for t, g in under.items() if g is not None and t > 1.9]
    assert max(errors) < 0.1
    assert [(step["step"], step["from_s"]) for step in body["steps"]][-1] == ("coarse_feed", 0.0)
    (target,) = body["targets"]
    assert (target["start_g"], target["target_g"], target["tolerance_g"]) == (0.0, 50.0, 2.25)


async def test_a_part_of_a_trace_enlarged(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured(entries=swinging(6.0))
    asked = {"points": 30, "from_s": 3.0, "until_s": 3.5, "window_s": 0.5}
    body = (await client.get(pour["links"]["trace"], params=asked)).json()
    assert len(body["readings"]["t_s"]) >= 30
    assert 3.0 <= body["readings"]["t_s"][0] < body["readings"]["t_s"][-1] <= 3.5
    for bad in ({"from_s": 3, "until_s": 2}, {"points": 5}, {"window_s": 0}, {"width": 720}):
        assert (await client.get(pour["links"]["trace"], params={"points": 30, **bad})).status_code == 422


async def test_another_media_type_is_refused(client: httpx.AsyncClient, poured: Poured) -> None:
    pour = await poured()
    reply = await client.get(pour["links"]["trace"], headers={"Accept": "image/png"})
    assert reply.status_code == 406
    assert reply.json()["type"] == "/problems/not-acceptable"


@pytest.mark.parametrize(
    ("accept", "media"),
    [
        # by the rules of RFC 9110, 12.5.1
        (None, "application/json"),
        ("*/*", "application/json"),
        ("text/csv", "text/csv"),
        ("text/*", "text/csv"),
        ("application/json;q=0.4, text/csv;q=0.8", "text/csv"),
        ("text/csv;q=0, */*", "application/json"),
        ("text/html, */*;q=0.1", "application/json"),
        ("application/json;q=0", None),
        ("text/html", None),
        ("text/csv;q=oops", None),
    ],
)
def test_the_media_type_that_is_preferred(accept: str | None, media: str | None) -> None:
    assert preferred(accept) == media
