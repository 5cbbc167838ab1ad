"""Prime, flush and purge on the command line, against answers of a scripted daemon."""

import functools
import json
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from tarewell.cli import daemon_client, main

RUNNING: dict[str, Any] = {
    "id": "p-1",
    "state": "running",
    "purpose": "prime",
    "progress": None,
    "cause": None,
    "target_g": 10.0,
    "delivered_g": None,
    "doses": [{"verdict": None}],
    "links": {"self": "/v1/pours/p-1"},
}
DONE = {**RUNNING, "state": "complete", "cause": "target", "delivered_g": 10.4}
NEEDS = [
    {"channel": 3, "need": "rinse", "message": "flush it with water"},
    {"channel": 4, "need": "none", "message": "channel 4 is ready"},
]

Run = Callable[..., tuple[int, str, str]]


class MaintenanceDaemon:
    """Takes what is asked for and ends it at once."""

    def __init__(self) -> None:
        self.ended = DONE
        self.answer = RUNNING
        self.posts: list[tuple[str, Any]] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        path = request.url.path
        if request.method == "POST":
            self.posts.append((path, json.loads(request.content or "null")))
            return httpx.Response(201, json=self.answer)
        if path == "/v1/events":
            text = 'event: pour_ended\ndata: {"pour_id": "p-1"}\nid: 8\n\n'
            return httpx.Response(200, text=text, headers={"Content-Type": "text/event-stream"})
        return httpx.Response(200, json={"/v1/maintenance": NEEDS, "/v1/pours/p-1": self.ended}.get(path, {}))


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> MaintenanceDaemon:
    daemon = MaintenanceDaemon()
    client = functools.partial(httpx.Client, transport=httpx.MockTransport(daemon))
    monkeypatch.setattr(daemon_client.httpx, "Client", client)
    return daemon


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Exit code, standard output, standard error."""

    def call(*args: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["tarewell", *args])
        monkeypatch.setenv("COLUMNS", "200")
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return ended.value.code if isinstance(ended.value.code, int) else 0, said.out, said.err

    return call


@pytest.mark.parametrize(
    ("args", "path", "body"),
    [
        (("prime", "4"), "/v1/channels/4/prime", {}),
        (("prime", "4", "--amount-g", "15"), "/v1/channels/4/prime", {"amount_g": 15.0}),
        (("flush", "4", "--agent", "water"), "/v1/channels/4/flush", {"agent": "water"}),
        (("purge", "4", "--most-g", "60"), "/v1/channels/4/purge", {"max_g": 60.0}),
    ],
)
def test_each_is_asked_for_and_followed(
    run: Run, daemon: MaintenanceDaemon, args: tuple[str, ...], path: str, body: dict[str, Any]
) -> None:
    code, out, _ = run(*args)
    assert code == 0
    assert daemon.posts == [(path, body)]
    assert f"{args[0]} of channel 4: 10.4 g" in out


def test_a_cleaner_brings_a_caution_before_and_the_next_step_after(
    run: Run, daemon: MaintenanceDaemon
) -> None:
    code, out, _ = run("flush", "3", "--agent", "cleaner", "--amount-g", "150")
    assert code == 0
    assert daemon.posts == [("/v1/channels/3/flush", {"agent": "cleaner", "amount_g": 150.0})]
    assert out.index("do not drink from this cup") < out.index("flush it with water")


def test_a_new_tube_is_told_with_what_it_needs(run: Run, daemon: MaintenanceDaemon) -> None:
    daemon.answer = {"channel": 3, "need": "new_tube", "message": "channel 3 has a new tube"}
    code, out, _ = run("change-tube", "3")
    assert (code, out.strip()) == (0, "channel 3 has a new tube")
    assert daemon.posts == [("/v1/channels/3/change-tube", None)]


def test_a_flush_must_name_its_agent(run: Run, daemon: MaintenanceDaemon) -> None:
    assert run("flush", "3")[0] == 2
    assert not daemon.posts


def test_one_that_was_stopped_ends_with_its_code(run: Run, daemon: MaintenanceDaemon) -> None:
    daemon.ended = {**DONE, "state": "stopped", "cause": "not_emptied", "delivered_g": 101.0}
    code, _, err = run("purge", "4")
    assert code == 4
    assert err.startswith("tarewell: the purge ended stopped (not_emptied) after 101.0 g")
