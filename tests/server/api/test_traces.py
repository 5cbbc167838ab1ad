import csv
import io
import json

import httpx
import pytest

from api_app import Poured
from tarewell.api.routes.exports import preferred
from tarewell.dosing.events import PourCommand, PourCommanded, PourStateChanged, RunPump, Weighed
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
