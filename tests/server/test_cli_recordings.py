"""Recordings of the flight recorder on the command line."""

from typing import Any

import httpx
import pytest

from command_line import Run, answer_with
from tarewell import __version__

LISTED: dict[str, Any] = {
    "id": "01959c45-1d02-7000-9b11-5f0c7a61d2e4",
    "caused_at": "2031-03-14T19:42:10Z",
    "cause": "no_flow",
    "message": "The pump is running but [b]nothing[/b] arrives.",
    "pour_id": "p-7",
    "program_version": __version__,
    "begins_s": -26.4,
    "ends_s": 10.0,
}


def sample(host_s: float, running: str = "") -> dict[str, Any]:
    return {
        "host_s": host_s,
        "what": "sample",
        "counts": 4711,
        "gross_g": 250.0,
        "running": running,
        "flags": "",
    }


ENTRIES = [
    *(sample(100.0 + number / 80) for number in range(80)),
    sample(101.0, "4"),
    {"host_s": 101.5, "what": "HostLate", "detail": {"late_s": 0.4}},
    {"host_s": 101.5, "what": "Command", "detail": {"command": {"is": "Stop", "channel": None}, "ticket": 0}},
    {"host_s": 101.5, "what": "Answer", "detail": {"number": 1, "result": ["long"] * 100}},
    {"host_s": 111.5, "what": "Woken", "detail": {}},
]


class RecordingAnswers:
    """A daemon with one recording."""

    def __init__(self) -> None:
        self.listed = [LISTED]
        self.shown = {**LISTED, "entries": ENTRIES}

    def __call__(self, request: httpx.Request) -> httpx.Response:
        match request.url.path.removeprefix("/v1/recordings"):
            case "":
                return httpx.Response(200, json=self.listed)
            case "/r-1":
                return httpx.Response(200, json=self.shown)
            case "/r-1.csv":
                return httpx.Response(200, text="host_s,what\r\n101.5,HostLate\r\n")
        return httpx.Response(409, json={"detail": "recording r-0 is of program version 0.0.9"})


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> RecordingAnswers:
    answers = RecordingAnswers()
    answer_with(monkeypatch, answers)
    return answers


def test_they_are_listed_with_cause_pour_and_length(run: Run, daemon: RecordingAnswers) -> None:
    code, out, _ = run("recordings")
    assert code == 0
    for told in (LISTED["id"], f"no_flow: {LISTED['message']}", "pour p-7", " 36 ", "tarewell replay ID"):
        assert told in out
    daemon.listed = []
    assert "no recordings" in run("recordings")[1]


def test_one_is_shown_line_by_line_in_seconds_from_the_cause(run: Run, daemon: RecordingAnswers) -> None:
    code, out, _ = run("recordings", "show", "r-1")
    assert code == 0
    assert "  -1.500  sample 250.00 g\n" in out
    assert "  -0.500  sample 250.00 g, running: 4\n" in out
    assert "  +0.000  HostLate(late_s=0.4)\n" in out
    assert "  +0.000  Command(command=Stop(), ticket=0)\n" in out
    assert max(map(len, out.splitlines())) < 330
    assert '  +0.000  Answer(number=1, result=["long", ' in out
    assert out.count("sample 250.00 g") == 3, "one in half a second, and where a pump starts"
    assert "tarewell replay r-1" in out
    assert "written by" not in out


def test_that_another_version_wrote_it_is_said(run: Run, daemon: RecordingAnswers) -> None:
    daemon.shown["program_version"] = "0.0.9"
    assert "written by program version 0.0.9" in run("recordings", "show", "r-1")[1]


def test_all_of_it_as_csv(run: Run, daemon: RecordingAnswers) -> None:
    code, out, _ = run("recordings", "show", "r-1", "--csv")
    assert (code, out.splitlines()) == (0, ["host_s,what", "101.5,HostLate"])


def test_one_that_cannot_be_read_fails_in_one_line(run: Run, daemon: RecordingAnswers) -> None:
    code, _, err = run("recordings", "show", "r-0")
    assert (code, "program version 0.0.9" in err.replace("\n", " ")) == (7, True)
