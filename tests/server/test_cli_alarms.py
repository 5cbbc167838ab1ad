"""Alarms on the command line."""

import json
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with, runner

TEXT = "The pump is running but nothing arrives. (channel 4, [b]Cordial[/b], bottle c-2: 0.2 g) Look."
ACTIVE = {
    "id": "no_flow-4",
    "priority": "medium",
    "state": "returned_to_normal",
    "acknowledged": False,
    "shelved_for_s": None,
    "text": TEXT,
}
SHELVED = {
    **ACTIVE,
    "id": "host_busy",
    "state": "shelved",
    "acknowledged": True,
    "shelved_for_s": 1740.0,
    "text": "Busy.",
}
HISTORY = [
    {"at": "2031-03-14T19:44:10Z", "event": "alarm_acknowledged", "id": "no_flow-4", "alarm": None},
    {"at": "2031-03-14T19:42:10Z", "event": "alarm", "id": "no_flow-4", "alarm": {"text": TEXT}},
]


class Answers:
    """A daemon with two alarms, which keeps what it was asked."""

    def __init__(self, active: list[dict[str, Any]]) -> None:
        self.active = active
        self.asked: list[tuple[str, str, Any]] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        body = json.loads(request.content) if request.content else dict(request.url.params)
        self.asked.append((request.method, request.url.path, body))
        if request.method == "GET":
            return httpx.Response(200, json={"active": self.active, "history": HISTORY})
        if "/no_flow-9/" in request.url.path:
            return httpx.Response(404, json={"detail": "no alarm 'no_flow-9' is active; active: no_flow-4"})
        return httpx.Response(200, json=self.active)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> Answers:
    answers = Answers([ACTIVE, SHELVED])
    answer_with(monkeypatch, answers)
    return answers


def test_they_are_listed_with_state_text_and_history(run: Run, daemon: Answers) -> None:
    code, out, _ = run("alarms", "--history", "2")
    assert code == 0
    assert daemon.asked == [("GET", "/v1/alarms", {"limit": "2"})]
    assert "no_flow-4: medium priority, returned to normal" in out
    assert TEXT in out.replace("\n", " ")
    assert "host_busy: medium priority, shelved for 29 min, acknowledged" in out
    history = [line.split() for line in out.splitlines() if line.startswith("2031-03-1")]
    assert [line[2:4] for line in history] == [["acknowledged", "no_flow-4"], ["raised", "no_flow-4"]]


def test_that_none_is_active_is_said(run: Run, daemon: Answers) -> None:
    daemon.active.clear()
    assert "no alarm is active" in run("alarms")[1]


def test_one_is_acknowledged(run: Run, daemon: Answers) -> None:
    code, out, _ = run("alarms", "acknowledge", "no_flow-4")
    assert code == 0
    assert daemon.asked == [("POST", "/v1/alarms/no_flow-4/acknowledge", {})]
    assert "no_flow-4" in out


def test_one_is_shelved_for_minutes(run: Run, daemon: Answers) -> None:
    assert run("alarms", "shelve", "host_busy", "--minutes", "45")[0] == 0
    assert daemon.asked == [("POST", "/v1/alarms/host_busy/shelve", {"for_s": 2700.0})]


def test_one_that_is_not_active_is_refused_with_those_that_are(run: Run, daemon: Answers) -> None:
    code, _, err = run("alarms", "acknowledge", "no_flow-9")
    assert code == 7
    assert "active: no_flow-4" in err
