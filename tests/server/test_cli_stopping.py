"""Stop, emergency stop and release on the command line."""

from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with

ALARM = {"text": "Mass rises. (30 g) Switch the pump supply off.", "state": "unacknowledged"}


@dataclass
class StoppableDaemon:
    """With a pour or a round under way, or neither; `answers` refuse."""

    pour: str | None = None
    round: str | None = None
    state: str = "stopping"
    latched: bool = False
    alarms: list[dict[str, str]] = field(default_factory=list)
    refusals: dict[str, dict[str, Any]] = field(default_factory=dict)
    posts: list[str] = field(default_factory=list)

    def __call__(self, request: httpx.Request) -> httpx.Response:
        path = request.url.path
        if request.method == "POST":
            self.posts.append(path)
            if path in self.refusals:
                return httpx.Response(409, json=self.refusals[path])
            self.latched = path.endswith("emergency-stop")
            self.alarms = []
        if path.startswith("/v1/machine"):
            return httpx.Response(200, json=self.machine())
        return httpx.Response(200, json={"state": self.state})

    def machine(self) -> dict[str, Any]:
        return {
            "pour": self.pour and f"/v1/pours/{self.pour}",
            "pour_id": self.pour,
            "round": self.round and f"/v1/rounds/{self.round}",
            "round_id": self.round,
            "latched": self.latched,
            "alarms": self.alarms,
            "blockers": ["the scale is not calibrated"],
        }


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> StoppableDaemon:
    daemon = StoppableDaemon()
    answer_with(monkeypatch, daemon)
    return daemon


def test_stop_stops_the_pour_under_way(run: Run, daemon: StoppableDaemon) -> None:
    daemon.pour = "p-1"
    assert run("stop")[:2] == (0, "pour p-1: stopping\n")
    assert daemon.posts == ["/v1/pours/p-1/stop"]


def test_stop_stops_a_round_with_its_pour(run: Run, daemon: StoppableDaemon) -> None:
    daemon.pour, daemon.round = "p-1", "r-1"
    assert run("stop")[:2] == (0, "round r-1: stopping\n")
    assert daemon.posts == ["/v1/rounds/r-1/stop"]


def test_where_nothing_is_under_way_there_is_nothing_to_stop(run: Run, daemon: StoppableDaemon) -> None:
    assert run("stop")[:2] == (0, "nothing is under way\n")
    assert daemon.posts == []


@pytest.mark.parametrize(
    ("state", "code"), [("stopping", 0), ("complete", 0), ("aborted", 0), ("held", 7), ("running", 7)]
)
def test_a_stop_that_comes_too_late_has_what_it_wanted(
    run: Run, daemon: StoppableDaemon, state: str, code: int
) -> None:
    daemon.pour, daemon.state = "p-1", state
    daemon.refusals["/v1/pours/p-1/stop"] = {"detail": "not now"}
    found, out, err = run("stop")
    assert found == code
    assert (out, err) == ((f"pour p-1: {state}\n", "") if code == 0 else ("", "tarewell: not now\n"))


def test_the_emergency_stop_names_the_switch_first_and_the_way_back(
    run: Run, daemon: StoppableDaemon
) -> None:
    code, out, _ = run("estop")
    assert (code, daemon.posts) == (0, ["/v1/machine/emergency-stop"])
    first, last = out.splitlines()
    assert "switch the pump supply off" in first
    assert "`tarewell release`" in last


def test_an_emergency_stop_that_is_not_confirmed_sends_to_the_switch(
    run: Run, daemon: StoppableDaemon
) -> None:
    daemon.refusals["/v1/machine/emergency-stop"] = {"detail": "the board cannot be reached"}
    code, out, err = run("estop")
    assert code == 7
    assert "latched" not in out
    assert err == "tarewell: not confirmed: switch the pump supply off; the board cannot be reached\n"


def test_an_emergency_stop_without_a_daemon_sends_to_the_switch(run: Run) -> None:
    code, _, err = run("estop", "--url", "http://127.0.0.1:9")
    assert code == 6
    assert err.startswith("tarewell: not confirmed: switch the pump supply off; no answer")


def test_release_tells_what_was_raised_and_what_still_blocks(run: Run, daemon: StoppableDaemon) -> None:
    daemon.latched, daemon.alarms = True, [ALARM]
    code, out, _ = run("release")
    assert (code, daemon.posts) == (0, ["/v1/machine/release"])
    assert "Mass rises. (30 g) Switch the pump supply off." in out
    assert "the emergency stop is released" in out
    assert "blocked   the scale is not calibrated" in out


def test_release_says_if_nothing_was_latched(run: Run, daemon: StoppableDaemon) -> None:
    assert "no emergency stop was latched" in run("release")[1]
