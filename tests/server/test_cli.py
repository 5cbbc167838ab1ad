import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import pytest
import typer

from command_line import Run, answer_with
from tarewell import __version__
from tarewell.cli import daemon_client
from tarewell.cli.amounts import parse_content, parse_dose
from tarewell.menu.values import Liquid
from tarewell.quantities.density import of_water
from tarewell.records.store import Store

POUR: dict[str, Any] = {
    "id": "p-1",
    "state": "complete",
    "purpose": "drink",
    "cause": "target",
    "created_at": "2031-03-14T19:42:10.120000Z",
    "target_g": 82.5,
    "delivered_g": 82.1,
    "final_g": 82.1,
    "final_uncertainty_g": None,
    "found_later": None,
    "doses": [
        {
            "channel": 1,
            "liquid_name": "House Water",
            "target_g": 60.0,
            "delivered_g": 59.5,
            "uncertainty_g": 0.06,
            "error_g": -0.5,
            "verdict": "within",
        },
        {
            "channel": 4,
            "liquid_name": "[red]Prompter's[/red] Cordial",
            "target_g": 22.5,
            "delivered_g": 22.6,
            "uncertainty_g": None,
            "error_g": 0.1,
            "verdict": "within",
        },
    ],
    "progress": None,
    "links": {"self": "/v1/pours/p-1"},
}
RUNNING = {**POUR, "state": "running", "cause": None, "delivered_g": None}

STREAM = (
    ": the stream is open\nretry: 1000\n\n"
    'event: reading\ndata: {"pour_id": "p-1", "state": "coarse_feed", "delivered_g": [41.2]}\n\n'
    'event: alarm\ndata: {"pour_id": "p-1", "reaction": "note", '
    '"text": "Hm. (channel 4: 0 g) Look."}\nid: 7\n\n'
    ": ping\n\n"
    'event: pour_ended\ndata: {"pour_id": "p-1"}\nid: 8\n\n'
)


@dataclass
class DaemonDouble:
    """Answers from a script of pours; counts what was asked."""

    ended: dict[str, Any] = field(default_factory=lambda: POUR)
    stream: str = STREAM
    breaks: list[BaseException] = field(default_factory=list)
    asked: list[httpx.Request] = field(default_factory=list)
    over: bool = False

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.asked.append(request)
        match request.method, request.url.path:
            case "GET", "/v1/health":
                return httpx.Response(200, json={"alive": True})
            case "POST", "/v1/pours":
                if self.breaks:
                    raise self.breaks.pop(0)
                return httpx.Response(201, json=RUNNING)
            case "GET", "/v1/events":
                return httpx.Response(200, text=self.stream, headers={"Content-Type": "text/event-stream"})
            case "GET", "/v1/pours/p-1":
                shown = self.ended if self.over else RUNNING
                self.over = True
                return httpx.Response(200, json=shown)
            case "GET", "/v1/pours":
                return self._page(request)
            case "POST", "/v1/pours/p-1/stop":
                return httpx.Response(202, json={**RUNNING, "state": "stopping"})
        problem = {"detail": "there is nothing here", "blockers": ["not calibrated"]}
        return httpx.Response(404, json=problem)

    def _page(self, request: httpx.Request) -> httpx.Response:
        if "before" in request.url.params:
            return httpx.Response(200, json=[{**POUR, "id": "p-0"}])
        return httpx.Response(200, json=[POUR], headers={"Link": '</v1/pours?before=p-1>; rel="next"'})

    def posts(self) -> list[httpx.Request]:
        return [request for request in self.asked if request.method == "POST"]


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> DaemonDouble:
    double = DaemonDouble()
    answer_with(monkeypatch, double)
    return double


@pytest.mark.parametrize(
    ("text", "dose"),
    [
        ("1=120g", {"channel": 1, "amount_g": 120.0}),
        ("3=20ml", {"channel": 3, "amount_ml": 20.0}),
        ("12=7.5 g", {"channel": 12, "amount_g": 7.5}),
    ],
)
def test_doses_are_read(text: str, dose: dict[str, object]) -> None:
    assert parse_dose(text) == dose


@pytest.mark.parametrize(
    "text",
    ["", "1", "1=", "1=120", "=5g", "1=-5g", "a=5g", "1=5oz", "1=5g ", "1==5g", "1=1e3g", "1=nang", "١=5g"],
)
def test_what_is_no_dose_is_refused(text: str) -> None:
    with pytest.raises(typer.BadParameter, match="expected CHANNEL=AMOUNT"):
        parse_dose(text)


@pytest.mark.parametrize(
    ("text", "content"),
    [("700ml", {"full_ml": 700.0}), ("0.85 g", {"full_g": 0.85}), ("5000 ml", {"full_ml": 5000.0})],
)
def test_contents_are_read(text: str, content: dict[str, float]) -> None:
    assert parse_content(text) == content


@pytest.mark.parametrize("text", ["", "700", "ml", "-1ml", "70cl", "1=700ml", "1e3g"])
def test_what_is_no_content_is_refused(text: str) -> None:
    with pytest.raises(typer.BadParameter, match="expected a number with g or ml"):
        parse_content(text)


def test_a_pour_within_tolerance_ends_with_0_and_its_table(run: Run, daemon: DaemonDouble) -> None:
    code, out, _ = run("pour", "1=60g", "4=20ml", "--glass-ml", "300")
    assert code == 0
    assert json.loads(daemon.posts()[0].content) == {
        "doses": [{"channel": 1, "amount_g": 60.0}, {"channel": 4, "amount_ml": 20.0}],
        "glass_holds_ml": 300.0,
    }
    for shown in ("60.0", "59.5 ±0.2", "-0.5", "+0.1", "House Water", "[red]Prompter's[/red] Cordial"):
        assert shown in out
    assert "Hm. (channel 4: 0 g) Look." in out


def test_a_dose_that_was_rescaled_shows_both_targets(run: Run, daemon: DaemonDouble) -> None:
    daemon.ended = {**POUR, "doses": [{**POUR["doses"][0], "rescaled_g": 57.3}]}
    assert "60.0 -> 57.3" in run("pour", "1=60g")[1]


@pytest.mark.parametrize(
    ("ended", "code"),
    [
        ({"doses": [{**POUR["doses"][0], "verdict": "over"}]}, 3),
        ({"doses": [{**POUR["doses"][0], "verdict": None}]}, 3),
        ({"state": "stopped", "cause": "no_glass"}, 4),
        ({"state": "aborted", "cause": "link_lost"}, 5),
        ({"state": "interrupted", "cause": "program_ended"}, 5),
    ],
)
def test_other_ends_have_codes_of_their_own(
    run: Run, daemon: DaemonDouble, ended: dict[str, Any], code: int
) -> None:
    daemon.ended = {**POUR, **ended}
    found, _, err = run("pour", "1=60g")
    assert found == code
    assert err.startswith("tarewell: the pour ended")
    assert err.count("\n") == 1


def test_a_request_without_an_answer_is_sent_again_with_the_same_key(run: Run, daemon: DaemonDouble) -> None:
    daemon.breaks = [httpx.ReadTimeout("no answer"), httpx.ConnectError("refused")]
    code, _, _ = run("pour", "1=60g")
    assert code == 0
    keys = [request.headers["Idempotency-Key"] for request in daemon.posts()]
    assert len(keys) == 3
    assert len(set(keys)) == 1


def test_two_pours_have_two_keys(run: Run, daemon: DaemonDouble) -> None:
    run("pour", "1=60g")
    run("pour", "1=60g")
    assert len({request.headers["Idempotency-Key"] for request in daemon.posts()}) == 2


def test_ctrl_c_stops_the_pour(run: Run, daemon: DaemonDouble, monkeypatch: pytest.MonkeyPatch) -> None:
    read = daemon_client.json.loads
    presses = [KeyboardInterrupt()]

    def interrupted(text: str) -> Any:
        if presses:
            raise presses.pop()
        return read(text)

    monkeypatch.setattr(daemon_client, "json", type("Json", (), {"loads": staticmethod(interrupted)}))
    code, _, err = run("pour", "1=60g")
    assert code == 130
    assert [request.url.path for request in daemon.posts()] == ["/v1/pours", "/v1/pours/p-1/stop"]
    assert "Ctrl-C" in err


def test_ctrl_c_before_the_answer_stops_what_may_have_begun(run: Run, daemon: DaemonDouble) -> None:
    daemon.breaks = [KeyboardInterrupt()]
    code, _, _ = run("pour", "1=60g")
    assert code == 130
    first, again, stop = daemon.posts()
    assert first.headers["Idempotency-Key"] == again.headers["Idempotency-Key"]
    assert stop.url.path == "/v1/pours/p-1/stop"


def test_no_daemon_is_said_in_one_line(run: Run) -> None:
    code, _, err = run("status", "--url", "http://127.0.0.1:9")
    assert code == 6
    assert "tarewell serve" in err
    assert err.count("\n") == 1


def test_a_problem_is_shown_with_its_blockers(run: Run, daemon: DaemonDouble) -> None:
    code, _, err = run("status")
    assert (code, err) == (7, "tarewell: there is nothing here; not calibrated\n")


def test_a_bad_url_is_said_in_one_line(run: Run) -> None:
    code, _, err = run("status", "--url", "http://[::1")
    assert code == 1
    assert "is not a URL" in err


def test_the_token_is_sent(run: Run, daemon: DaemonDouble, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAREWELL_TOKEN", "second-bell")
    run("history")
    assert daemon.asked[0].headers["Authorization"] == "Bearer second-bell"


def test_history_follows_the_pages_up_to_the_limit(run: Run, daemon: DaemonDouble) -> None:
    code, out, _ = run("history", "--json", "--limit", "5", "--since", "2031-03-14")
    assert code == 0
    assert [pour["id"] for pour in json.loads(out)] == ["p-1", "p-0"]
    assert daemon.asked[0].url.params["since"].startswith("2031-03-14T00:00:00")
    run("history", "--limit", "1")
    assert len(daemon.asked) == 3


def test_history_as_a_table_takes_nothing_in_a_name_for_markup(run: Run, daemon: DaemonDouble) -> None:
    code, out, _ = run("history", "--limit", "1")
    assert code == 0
    assert "p-1" in out
    assert "[red]Prompter's[/red] Cordial" in out


def test_usage_errors(run: Run) -> None:
    for args in (["pour"], ["pour", "1=60"], ["history", "--json", "--csv"], ["command", "p-1", "spill"]):
        code, _, err = run(*args)
        assert code == 2
        assert "Usage" in err


@pytest.mark.parametrize("command", [(), ("demo",), ("pour",), ("menu", "show"), ("stock", "weigh")])
def test_help_shows_no_type_after_a_flag(run: Run, command: tuple[str, ...]) -> None:
    code, out, _ = run(*command, "--help")
    assert (code, "--help" in out) == (0, True)
    assert "bool" not in out.lower()


def test_a_refusal_that_says_what_a_blocker_says_is_told_once(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = {
        "detail": "the board cannot be reached: there is no device /dev/ttyUSB0",
        "blockers": ["no link to the board: there is no device /dev/ttyUSB0", "the scale is not calibrated"],
    }
    answer_with(monkeypatch, lambda request: httpx.Response(409, json=problem))
    _, _, err = run("status")
    assert err == f"tarewell: {problem['detail']}; the scale is not calibrated\n"


def test_version(run: Run) -> None:
    assert run("--version")[:2] == (0, f"tarewell {__version__}\n")


def test_serve_names_the_setting_that_is_wrong(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TAREWELL_DEVICE", raising=False)
    code, _, err = run("serve")
    assert code == 2
    assert err.startswith("tarewell: device is not set")
    code, _, err = run("serve", "--device", "/dev/null", "--host", "0.0.0.0")
    assert code == 2
    assert "token" in err


@pytest.fixture
async def database(tmp_path: Path) -> Path:
    path = tmp_path / "bar.db"
    store = await Store.open(path, "interval-bar", "0.1.0")
    await store.liquids.put(Liquid("house-water", "House Water", of_water()))
    await store.close()
    return path


def test_upgrade_creates_and_then_finds_nothing_to_do(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "records" / "bar.db"
    assert run("db", "upgrade", "--database", str(path))[0] == 0
    assert path.is_file()
    assert "up to date" in run("db", "upgrade", "--database", str(path))[1]


def test_verify_tells_the_events_that_hold(run: Run, database: Path) -> None:
    code, out, _ = run("db", "verify", "--database", str(database))
    assert code == 0
    assert out.startswith("1 events intact; the last is 1 with hash ")


def test_verify_of_something_else_fails_in_one_line(run: Run, tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("not a database, but long enough to be looked at as one " * 20)
    code, _, err = run("db", "verify", "--database", str(other))
    assert code == 1
    assert err.count("\n") == 1
    code, _, err = run("db", "verify", "--database", str(tmp_path / "none.db"))
    assert (code, "there is no database" in err) == (1, True)


def test_replay_of_an_unknown_pour(run: Run, database: Path) -> None:
    code, _, err = run("replay", "p-404", "--database", str(database))
    assert code == 1
    assert "there is no pour p-404" in err
