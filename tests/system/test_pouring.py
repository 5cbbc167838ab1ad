"""The main job for real: HTTP client, daemon, PTY, simulated board, SQLite record."""

import csv
import io
import json
import signal
import sqlite3
from typing import Any

import pytest

from stack import Stack, check_a_two_channel_drink

PUMP_OFF_S = 0.5


def _events(stack: Stack, pour_id: str, last_id: int) -> list[tuple[str | None, str, Any]]:
    """Server-sent events (id, name, data) after `last_id` up to the end of a pour."""
    found: list[tuple[str | None, str, Any]] = []
    headers = {"Last-Event-ID": str(last_id)}
    with stack.api.stream("GET", "/events", headers=headers, timeout=30.0) as answer:
        fields: dict[str, str] = {}
        for line in answer.iter_lines():
            if line:
                name, _, value = line.partition(":")
                fields[name] = value.strip()
                continue
            if "event" in fields:
                found.append((fields.get("id"), fields["event"], json.loads(fields.get("data", "null"))))
                if fields["event"] == "pour_ended" and found[-1][2]["pour_id"] == pour_id:
                    return found
            fields = {}
    raise AssertionError(f"the stream ended before pour {pour_id} did")


def test_a_two_channel_drink_from_request_to_record(stack: Stack) -> None:
    pour_id = check_a_two_channel_drink(stack)

    trace = stack.api.get(f"/pours/{pour_id}/trace.csv")
    assert trace.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(trace.text)))
    assert len(rows) > 200  # 80 readings a second for some seconds
    assert stack.api.get(f"/pours/{pour_id}/trace").json()


def test_live_events_tell_the_pour_and_can_be_taken_up_again(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 15})
    seen = _events(stack, begun["id"], last_id=0)
    durable = [int(number) for number, _, _ in seen if number]
    assert durable == list(range(1, durable[-1] + 1))
    assert any(name == "reading" and number is None for number, name, _ in seen)
    assert stack.finished(begun["id"])["state"] == "complete"
    middle = durable[len(durable) // 2]
    resumed = [int(number) for number, _, _ in _events(stack, begun["id"], last_id=middle) if number]
    assert resumed == list(range(middle + 1, durable[-1] + 1))


def test_a_second_pour_is_refused_with_what_is_running(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 20})
    refused = stack.api.post("/pours", json={"doses": [{"channel": 1, "amount_g": 20}]})
    assert refused.status_code == 409
    assert refused.headers["content-type"] == "application/problem+json"
    assert begun["id"] in refused.text
    stack.finished(begun["id"])


def test_a_lifted_glass_holds_and_the_same_glass_goes_on(stack: Stack) -> None:
    begun = stack.pour({"channel": 4, "amount_g": 30})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    stack.wait(lambda: stack.bench.truth()["glass_contents_g"] > 4)
    stack.bench.call("lift_glass")
    stack.wait(lambda: stack.read(begun["id"])["state"] == "held")
    assert not stack.bench.truth()["pump_on"]
    stack.bench.call("put_back")
    assert stack.api.post(f"/pours/{begun['id']}/restart").status_code == 202
    record = stack.finished(begun["id"])
    assert record["state"] == "complete"
    assert record["doses"][0]["verdict"] == "within"


def test_stop_by_http(stack: Stack) -> None:
    begun = stack.pour({"channel": 3, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    assert stack.api.post(f"/pours/{begun['id']}/stop").status_code == 202
    record = stack.finished(begun["id"])
    assert record["state"] == "stopped"
    assert stack.api.post(f"/pours/{begun['id']}/stop").status_code == 409


def test_hands_on_the_command_line(stack: Stack) -> None:
    begun = stack.pour({"channel": 3, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    assert begun["id"] in stack.command("stop")
    assert stack.finished(begun["id"])["state"] == "stopped"

    begun = stack.pour({"channel": 3, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    stack.command("estop")
    stack.wait(lambda: not stack.bench.truth()["pump_on"], PUMP_OFF_S + 0.5)
    assert stack.finished(begun["id"])["cause"] == "emergency_stop"
    assert "`tarewell release`" in stack.command("pour", "1=20g", code=7)
    stack.command("release")
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)

    stack.bench.call("lift_glass")
    stack.command("zero")
    empty_counts = stack.command("calibrate", "--read-empty").strip()
    stack.bench.call("place_glass", mass_g=500.0)
    stack.wait(lambda: (shown := stack.api.get("/scale").json())["stable"] and shown["gross_g"] > 400)
    step = ("calibrate", "--empty-counts", empty_counts)
    assert "did you put 200 g on?" in stack.command(*step, "200", code=7)
    stack.command(*step, "500")
    stack.wait(lambda: stack.api.get("/scale").json()["stable"])
    stack.command("tare")
    (reading,) = map(json.loads, stack.command("scale", "--count", "1", "--json").splitlines())
    assert reading["gross_g"] == pytest.approx(500.0, abs=0.5)
    assert reading["net_g"] == pytest.approx(0.0, abs=0.5)
    stack.command("tare", "--clear")


def test_cable_out_in_mid_pour_and_back_again(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    stack.bench.call("unplug")
    stack.wait(lambda: not stack.bench.truth()["pump_on"], PUMP_OFF_S + 0.5)
    record = stack.wait(lambda: (r := stack.read(begun["id"]))["state"] in ("held", "aborted") and r)
    stack.bench.call("replug")
    stack.wait(lambda: stack.api.get("/machine").json()["link"]["state"] == "open")
    if record["state"] == "held":
        stack.api.post(f"/pours/{begun['id']}/abort")
    record = stack.finished(begun["id"])
    assert record["state"] == "aborted"
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)


def test_a_killed_daemon_leaves_no_pump_on_and_its_pour_is_closed_as_interrupted(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 90}, key="row-f-seat-12")
    stack.wait(lambda: stack.bench.truth()["glass_contents_g"] > 12)
    stack.stop(signal.SIGKILL)
    stack.wait(lambda: not stack.bench.truth()["pump_on"], PUMP_OFF_S + 0.5)
    stack.start()
    record = stack.read(begun["id"])
    assert record["state"] == "interrupted"
    assert record["delivered_g"] > 0

    again = stack.api.post(
        "/pours",
        json={"doses": [{"channel": 1, "amount_g": 90}]},
        headers={"Idempotency-Key": "row-f-seat-12"},
    )
    assert again.status_code == 200
    assert again.json()["id"] == begun["id"]
    assert stack.api.get("/machine").json()["pour_id"] is None


def test_what_was_learned_outlives_the_daemon(stack: Stack) -> None:
    stack.finished(stack.pour({"channel": 1, "amount_g": 30})["id"])
    assert stack.stop() == 0
    stack.start()
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)
    begun = stack.pour({"channel": 1, "amount_g": 30})
    record = stack.finished(begun["id"])
    assert 0 < record["doses"][0]["inflight_g"] < 4  # an unknown channel would be given 0.55 s of flow


def test_every_record_bears_the_machine_and_the_chain_holds(stack: Stack) -> None:
    assert stack.stop() == 0
    with sqlite3.connect(stack.folder / "tarewell.sqlite") as database:
        tables = [name for (name,) in database.execute("select name from sqlite_master where type = 'table'")]
        assert "pour" in tables
        for table in tables:
            columns = [row[1] for row in database.execute(f"pragma table_info({table})")]
            if "machine_id" in columns:
                others = database.execute(f"select count(*) from {table} where machine_id <> 'interval-bar'")
                assert others.fetchone() == (0,)
    database.close()
    stack.start()
