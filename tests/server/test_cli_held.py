"""A pour on the command line that waits for a glass, or is held: what is told, and what may be typed."""

import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with

LIMIT_S = 20.0
ALARM = {
    "reaction": "hold",
    "message": "The glass was lifted.",
    "detail": "0 g there",
    "cure": "Put it back, then restart.",
    "text": "The glass was lifted. (0 g there) Put it back, then restart.",
}
DOSE: dict[str, Any] = {
    "channel": 1,
    "liquid_name": "House Water",
    "target_g": 60.0,
    "delivered_g": None,
    "uncertainty_g": None,
    "error_g": None,
    "verdict": "within",
}


def event(kind: str, **body: Any) -> bytes:
    return f"event: {kind}\ndata: {json.dumps({'pour_id': 'p-1', **body})}\n\n".encode()


@dataclass
class HeldDaemon:
    """Its pour waits, is held, and goes on to the end after a command."""

    purpose: str = "drink"
    alarm: dict[str, str] | None = field(default_factory=lambda: ALARM)
    waits: int = 0
    step: str = "taring"
    state: str = "running"
    posts: list[str] = field(default_factory=list)
    asked_why: threading.Event = field(default_factory=threading.Event)
    commanded: threading.Event = field(default_factory=threading.Event)

    def __call__(self, request: httpx.Request) -> httpx.Response:
        path = request.url.path
        if request.method == "POST":
            self.posts.append(path)
            if path.startswith("/v1/pours/p-1/"):
                self.commanded.set()
            return httpx.Response(201, json=self.shown())
        if path == "/v1/events":
            headers = {"Content-Type": "text/event-stream"}
            return httpx.Response(200, content=self.stream(), headers=headers)
        if path == "/v1/pours/p-1":
            if self.state == "held":
                self.asked_why.set()
            return httpx.Response(200, json=self.shown())
        return httpx.Response(200, json=[] if path == "/v1/maintenance" else {})

    def shown(self) -> dict[str, Any]:
        over = self.state == "complete"
        return {
            "id": "p-1",
            "state": self.state,
            "purpose": self.purpose,
            "cause": None,
            "target_g": 60.0,
            "delivered_g": None,
            "final_g": None,
            "final_uncertainty_g": None,
            "doses": [DOSE],
            "progress": None if over else {"step": self.step, "alarm": self.alarm},
            "links": {"self": "/v1/pours/p-1"},
        }

    def stream(self) -> Iterator[bytes]:
        for _ in range(self.waits):
            yield event("reading", state="awaiting_glass", delivered_g=[])
        if self.alarm is not None:
            yield event("alarm", **self.alarm)
        self.state = self.step = "held"
        yield event("pour_state", state="held")
        if not self.commanded.wait(LIMIT_S):
            raise TimeoutError("nobody commanded the held pour")
        yield event("pour_state", state="restarting")
        self.state = "complete"
        yield event("pour_ended")

    def typed(self) -> Iterator[str]:
        """A person's lines, once the question is there."""
        assert self.asked_why.wait(LIMIT_S)
        yield "dance\n"
        yield "restart\n"


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> HeldDaemon:
    daemon = HeldDaemon()
    answer_with(monkeypatch, daemon)
    return daemon


def at_a_terminal(monkeypatch: pytest.MonkeyPatch, daemon: HeldDaemon) -> None:
    monkeypatch.setattr("tarewell.cli.following.at_terminal", lambda: True)
    monkeypatch.setattr("sys.stdin", daemon.typed())


COMMANDS = [
    (("pour", "1=60g"), "drink"),
    (("prime", "1"), "prime"),
    (("flush", "1", "--agent", "water"), "flush"),
    (("purge", "1"), "purge"),
]


@pytest.mark.parametrize(("args", "purpose"), COMMANDS)
def test_at_a_terminal_it_tells_why_and_takes_what_is_typed(
    run: Run, daemon: HeldDaemon, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...], purpose: str
) -> None:
    daemon.purpose = purpose
    at_a_terminal(monkeypatch, daemon)
    code, out, _ = run(*args)
    assert code == 0
    assert "held: The glass was lifted. (0 g there) Put it back, then restart." in out
    assert out.count("The glass was lifted.") == 1
    assert "type restart, stop or abort, then Enter" in out
    assert "the commands are hold, restart, stop, abort" in out
    assert daemon.posts[1:] == ["/v1/pours/p-1/restart"]


@pytest.mark.parametrize(("args", "purpose"), COMMANDS)
def test_without_a_terminal_it_ends_with_its_own_code_and_leaves_the_pour_held(
    run: Run, daemon: HeldDaemon, args: tuple[str, ...], purpose: str
) -> None:
    daemon.purpose = purpose
    code, _, err = run(*args)
    assert code == 9
    assert err.startswith("tarewell: the pour is held: The glass was lifted. (0 g there) Put it back")
    assert "`tarewell command p-1 restart`" in err
    assert "`tarewell stop`" in err
    assert len(daemon.posts) == 1


@pytest.mark.parametrize("alarm", [None, {**ALARM, "reaction": "note"}])
def test_a_pour_that_a_command_held_blames_no_alarm(
    run: Run, daemon: HeldDaemon, alarm: dict[str, str] | None
) -> None:
    daemon.alarm = alarm
    code, _, err = run("pour", "1=60g")
    assert code == 9
    assert err.startswith("tarewell: the pour is held: A command held it.")


@pytest.mark.parametrize(("args", "purpose"), COMMANDS)
@pytest.mark.parametrize(("waits", "told"), [(0, 0), (1, 0), (2, 1), (30, 1)])
def test_where_no_glass_is_there_it_asks_for_one_once(
    run: Run, daemon: HeldDaemon, args: tuple[str, ...], purpose: str, waits: int, told: int
) -> None:
    daemon.purpose, daemon.waits = purpose, waits
    _, out, _ = run(*args)
    vessel = "glass" if purpose == "drink" else "cup"
    assert out.count(f"put an empty {vessel} on the platform") == told


def test_the_status_tells_why_a_pour_is_held(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    held = HeldDaemon(state="held", step="held")
    machine = {
        "machine_id": "interval-bar",
        "link": {"state": "open", "reason": "session open", "board": None},
        "calibrated": True,
        "latched": False,
        "alarms": [],
        "pour_id": "p-1",
        "pour": "/v1/pours/p-1",
        "round": None,
        "blockers": [],
    }
    answers = {"/v1/machine": machine, "/v1/maintenance": [], "/v1/pours/p-1": held.shown()}
    answer_with(monkeypatch, lambda request: httpx.Response(200, json=answers[request.url.path]))
    _, out, _ = run("status")
    assert "held      The glass was lifted. (0 g there) Put it back, then restart." in out
