"""Recordings of the flight recorder over the API."""

import csv
import io
import json
import zlib
from dataclasses import replace
from typing import Any

import httpx
import pytest

from api_app import Poured
from machine_at_rest import STEP_S, At
from round_steps import glasses
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.machine import events as ev
from tarewell.machine.effects import Effect, Find
from tarewell.machine.recording import Step, joined, kept, pack_state, pack_steps
from tarewell.machine.requests import BeginRound, PourRequest, SetZero
from tarewell.machine.round_record import NewRound
from tarewell.records.errors import IdempotencyConflict
from tarewell.records.recordings import add_recording
from tarewell.records.store import Store
from tarewell.rounds.plan import RoundPlan
from tarewell_protocol import session as s

KEY = "key-of-a-guest"


class RecordedSteps:
    """A machine with the scale at rest, and all that happens to it."""

    def __init__(self, load_g: float = 250.0) -> None:
        self.at = At(load_g=load_g)
        self.state = pack_state(self.at.machine)
        self.steps: list[Step] = []

    def take(self, event: ev.MachineEvent, *more: Effect) -> list[Effect]:
        """Let it happen; `more` is recorded beside what the machine answered."""
        self.at.now_s += STEP_S
        effects = self.at.machine.handle(event, self.at.now_s)
        self.steps.append(Step(self.at.now_s, event, kept([*effects, *more])))
        return effects

    @property
    def data(self) -> bytes:
        return joined(self.state, [pack_steps(self.steps)])


async def add(store: Store, data: bytes, cause: str = "host_busy", pour_id: str | None = None) -> str:
    assert store.writer is not None
    await store.writer.write(add_recording, cause, pour_id, 80.0, 100.0, 110.0, data)
    return (await store.recordings.list())[0].id


async def entries(client: httpx.AsyncClient, recording_id: str) -> list[dict[str, Any]]:
    reply = await client.get(f"/v1/recordings/{recording_id}")
    assert reply.status_code == 200, reply.text
    found: list[dict[str, Any]] = reply.json()["entries"]
    return found


async def test_they_are_listed_newest_first_with_their_cause(
    client: httpx.AsyncClient, store: Store, poured: Poured
) -> None:
    assert (await client.get("/v1/recordings")).json() == []
    pour = await poured()
    older, newer = await add(store, b""), await add(store, b"", "aborted", pour["id"])
    found = (await client.get("/v1/recordings")).json()
    assert [item["id"] for item in found] == [newer, older]
    assert (found[0]["cause"], found[0]["message"], found[0]["pour_id"]) == (
        "aborted",
        "The pour was aborted.",
        pour["id"],
    )
    assert (found[1]["begins_s"], found[1]["ends_s"], found[1]["pour_id"]) == (-20.0, 10.0, None)
    assert found[0]["links"]["pour"] == pour["links"]["self"]
    assert found[0]["links"]["self"] == f"/v1/recordings/{newer}"
    assert "pour" not in found[1]["links"]


async def test_a_pour_without_a_row_does_not_lose_the_recording(
    client: httpx.AsyncClient, store: Store
) -> None:
    """Its intent was set aside: the recording is what helps to find out why."""
    recording_id = await add(store, b"", "record_set_aside", "no-such-pour")
    (found,) = (await client.get("/v1/recordings")).json()
    assert (found["id"], found["pour_id"]) == (recording_id, None)


async def test_one_is_read_as_a_trace(client: httpx.AsyncClient, store: Store) -> None:
    recorded = RecordedSteps()
    recorded.take(recorded.at.sample(250.0))
    recorded.take(ev.HostLate(0.4))
    sample, late, *answers = await entries(client, await add(store, recorded.data))
    assert (sample["what"], sample["gross_g"]) == ("sample", pytest.approx(250.0, abs=0.001))
    assert "detail" not in sample
    assert (late["what"], late["detail"]) == ("HostLate", {"late_s": 0.4})
    assert {answer["host_s"] for answer in answers} == {late["host_s"]}
    (raised,) = (
        answer["detail"]["change"]
        for answer in answers
        if answer["what"] == "Persist" and answer["detail"]["change"]["kind"] == "alarm"
    )
    assert (raised["is"], raised["body"]["name"]) == ("AppendEvent", "host_busy")


async def test_gross_is_by_the_calibration_of_that_moment(client: httpx.AsyncClient, store: Store) -> None:
    recorded = RecordedSteps(load_g=8.0)
    recorded.take(recorded.at.sample(8.0))
    (write,) = recorded.take(ev.Requested(1, SetZero()))
    recorded.take(recorded.at.sample(8.0))
    recorded.take(ev.WriteDone(write.key))  # type: ignore[union-attr]
    recorded.take(recorded.at.sample(8.0))
    found = await entries(client, await add(store, recorded.data))
    assert [line["gross_g"] for line in found if line["what"] == "sample"] == pytest.approx(
        [8.0, 8.0, 0.0], abs=0.001
    )


async def test_samples_that_were_missed_are_told(client: httpx.AsyncClient, store: Store) -> None:
    recorded = RecordedSteps()
    recorded.take(s.SampleArrived(recorded.at.sample(250.0).sample, 3))
    line = (await entries(client, await add(store, recorded.data)))[0]
    assert (line["what"], line["detail"]) == ("sample", {"missed": 3})
    assert line["gross_g"] == pytest.approx(250.0, abs=0.001)


async def test_as_csv_by_name_or_by_accept(client: httpx.AsyncClient, store: Store) -> None:
    recorded = RecordedSteps()
    recorded.take(recorded.at.sample(250.0))
    recorded.take(ev.HostLate(0.4))
    path = f"/v1/recordings/{await add(store, recorded.data)}"
    by_name = await client.get(f"{path}.csv")
    by_accept = await client.get(path, headers={"Accept": "text/csv"})
    assert by_name.text == by_accept.text
    assert by_name.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(by_name.text)))
    assert (rows[0]["what"], rows[0]["detail"]) == ("sample", "")
    assert float(rows[0]["gross_g"]) == pytest.approx(250.0, abs=0.001)
    assert json.loads(rows[1]["detail"]) == {"late_s": 0.4}
    assert (await client.get(path, headers={"Accept": "image/png"})).status_code == 406


async def test_keys_of_requests_are_left_out(client: httpx.AsyncClient, store: Store, poured: Poured) -> None:
    pour = await poured()
    record = replace(await store.pours.get(pour["id"]), idempotency_key=KEY)
    plan, fingerprint = PourPlan((DosePlan(1, "house-water", 30.0),)), f"{KEY}-print"
    recorded = RecordedSteps()
    recorded.take(ev.Requested(1, PourRequest(plan, "api", KEY, fingerprint)))
    happened: list[ev.MachineEvent] = [
        ev.Requested(2, BeginRound(NewRound(RoundPlan(glasses("still"), {}), "api", KEY, fingerprint))),
        ev.WriteFailed("pour", IdempotencyConflict(KEY, "p-2")),
        ev.WriteDone("pour", record),
    ]
    find = Find("lookup", KEY, fingerprint, "pour")
    recorded.steps += [Step(recorded.at.now_s, event, (find,)) for event in happened]
    recording_id = await add(store, recorded.data)
    text = (await client.get(f"/v1/recordings/{recording_id}")).text
    for shown in ("PourRequest", "NewPour", "NewRound", "IdempotencyConflict", "PourRecord", '"Find"'):
        assert shown in text, "else this test says nothing"
    assert KEY not in text
    assert KEY not in (await client.get(f"/v1/recordings/{recording_id}.csv")).text


@pytest.mark.parametrize("suffix", ["", ".csv"])
async def test_one_that_this_version_cannot_read_says_which_can_and_is_listed(
    client: httpx.AsyncClient, store: Store, suffix: str
) -> None:
    """Its machine was of a class that there is no more."""
    former = [[{"object": "tarewell.machine.former:FormerMachine", "holds": None}], {"#": 0}]
    recording_id = await add(store, joined(zlib.compress(json.dumps(former).encode()), []))
    reply = await client.get(f"/v1/recordings/{recording_id}{suffix}")
    assert (reply.status_code, reply.json()["type"]) == (409, "/problems/recording-unreadable")
    assert "program version 0.1.0" in reply.json()["detail"]
    assert "use the program version that wrote it" in reply.json()["detail"]
    assert [item["id"] for item in (await client.get("/v1/recordings")).json()] == [recording_id]


async def test_an_unknown_one_is_not_found(client: httpx.AsyncClient) -> None:
    reply = await client.get("/v1/recordings/r-404")
    assert reply.status_code == 404
    assert "tarewell recordings" in reply.json()["detail"]
