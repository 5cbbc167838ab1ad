"""`tarewell plan` and `tarewell cards`, from a set-up file and from a scripted daemon."""

import functools
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest

from tarewell.cli import daemon_client, main

EXAMPLE = Path(__file__).parents[2] / "docs" / "examples" / "interval-bar.toml"
EVENING = ("plan", "--guests", "40", "--hours", "0.5", "--mix", "green-room-cooler=3,second-bell=1")
OFFLINE = ("--setup", str(EXAMPLE))

Run = Callable[..., tuple[int, str, str]]


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


def test_a_plan_from_a_file_alone(run: Run) -> None:
    code, out, _ = run(*EVENING, "--per-guest", "1", *OFFLINE)
    assert code == 0
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert "Green Room Cooler, without alcohol 30 222 0.0 0.0 68 guessed 6.13" in lines
    assert "Footlight Spirit 250 ml 275 ml 1.4 l nothing" in lines
    assert "Gallery Juice 1.1 l 1.2 l 613 ml 1 x 1000 ml 2.40" in lines
    assert "ice 2.6 kg 2.6 kg" in lines
    assert any(line.startswith("At the peak, ") and "?" not in line for line in lines)
    assert sum(line.startswith("Caution: ") for line in lines) == 3


def test_per_guest_is_in_all_and_per_guest_hour_by_the_hour(run: Run) -> None:
    by = {
        option: json.loads(run(*EVENING, option, "1.2", "--json", *OFFLINE)[1])["drinks"]
        for option in ("--per-guest", "--per-guest-hour")
    }
    assert by == {"--per-guest": 48, "--per-guest-hour": 24}


def test_sizes_and_times_of_the_own_bar(run: Run) -> None:
    sizes = ("--bottle", "foyer-soda=500@0.9, 1500@1.9", "--bottle", "gallery-juice=250")
    _, out, _ = run(
        *EVENING, "--per-guest", "4", *sizes, "--time", "glass_change_s=0,ice_s=0", "--json", *OFFLINE
    )
    shown = json.loads(out)
    bottles = {entry["liquid_id"]: entry["bottles"] for entry in shown["liquids"]}
    assert bottles["foyer-soda"] == [{"ml": 1500, "count": 1}, {"ml": 500, "count": 1}]  # 1.76 l
    assert bottles["gallery-juice"] == [{"ml": 250, "count": 17}]  # 4.84 l less 0.61 l
    assert shown["recipes"][0]["service_s"] == pytest.approx(67.7 - 14, abs=0.1)


def test_a_page_is_written(run: Run, tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    code, _, err = run(*EVENING, "--per-guest", "1", "--title", "<Gala>", "--page", str(page), *OFFLINE)
    assert (code, str(page) in err) == (0, True)
    assert "&lt;Gala&gt;" in page.read_text("utf-8")


def test_cards_are_written(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "cards.html"
    assert run("cards", str(out), *OFFLINE)[0] == 0
    assert out.read_text("utf-8").count("</h1>") == 6
    assert run("cards", str(out), "--recipe", "second-bell", *OFFLINE)[0] == 0
    assert out.read_text("utf-8").count("</h1>") == 1
    code, _, err = run("cards", str(out), "--recipe", "third-bell", *OFFLINE)
    assert (code, "no recipe 'third-bell'" in err) == (1, True)


def test_a_page_that_cannot_be_written_is_told(run: Run, tmp_path: Path) -> None:
    code, _, err = run("cards", str(tmp_path / "no" / "cards.html"), *OFFLINE)
    assert (code, "cannot be written" in err) == (1, True)


@pytest.mark.parametrize(
    ("args", "code", "said"),
    [
        (("--per-guest", "1", "--guests", "-4"), 7, "/guests: guests is expected from 1"),
        (("--per-guest", "1", "--hours", "0"), 2, "more than 0"),
        (("--per-guest-hour", "1", "--hours", "0"), 7, "/hours"),
        (("--per-guest", "1", "--mix", "house-red=1"), 7, "there is no recipe 'house-red'"),
        (("--per-guest", "1", "--mix", "second-bell"), 2, "NAME=NUMBER"),
        (("--per-guest", "1", "--mix", "second-bell=2"), 2, "there twice"),
        (("--per-guest", "1", "--bottle", "foyer-soda=0.5l"), 2, "LIQUID=ML"),
        (("--per-guest", "1", "--time", "ice=3"), 7, "/times/ice"),
        (("--per-guest", "1", "--seed", "-1"), 7, "/seed"),
        ((), 2, "exactly one of"),
        (("--per-guest", "1", "--per-guest-hour", "1"), 2, "exactly one of"),
    ],
)
def test_what_cannot_be_is_refused(run: Run, args: tuple[str, ...], code: int, said: str) -> None:
    found, _, err = run(*EVENING, *args, *OFFLINE)
    assert found == code
    assert said in " ".join(err.replace("│", " ").split())


def test_a_file_at_fault_is_told_line_by_line(run: Run, tmp_path: Path) -> None:
    bad = tmp_path / "bar.toml"
    bad.write_text('format = 1\n[liquids.syrup]\nname = "Syrup"\nbrix = 120\n[glasses.cup]\nname = "Cup"\n')
    code, _, err = run(*EVENING, "--per-guest", "1", "--setup", str(bad))
    assert code == 7
    assert f"{bad}:4: /liquids/syrup/brix" in err
    assert f"{bad}:5: /glasses/cup/brim_ml" in err
    assert run(*EVENING, "--per-guest", "1", "--setup", str(tmp_path / "none.toml"))[0] == 2


class Daemon:
    """Answers with a plan as it was made elsewhere, and with pages."""

    def __init__(self, shown: dict[str, Any]) -> None:
        self.shown = shown
        self.asked: list[tuple[str, str, Any]] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        body = json.loads(request.content) if request.content else None
        self.asked.append((request.url.path, request.headers["Accept"], body))
        if request.headers["Accept"] == "text/html" or request.method == "GET":
            return httpx.Response(200, text="<!DOCTYPE html>page")
        return httpx.Response(200, json=self.shown)


@pytest.fixture
def daemon(run: Run, monkeypatch: pytest.MonkeyPatch) -> Daemon:
    daemon = Daemon(json.loads(run(*EVENING, "--per-guest", "1", "--json", *OFFLINE)[1]))
    client = functools.partial(httpx.Client, transport=httpx.MockTransport(daemon))
    monkeypatch.setattr(daemon_client.httpx, "Client", client)
    return daemon


def test_the_daemon_is_asked_for_plan_and_page(run: Run, daemon: Daemon, tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    code, out, _ = run(
        *EVENING, "--per-guest", "1", "--peak-share", "0.7", "--peak-minutes", "8", "--page", str(page)
    )
    assert code == 0
    assert "Green Room Cooler" in out
    assert page.read_text("utf-8") == "<!DOCTYPE html>page"
    (path, _, body), (_, accept, again) = daemon.asked
    assert (path, accept) == ("/v1/evenings/plan", "text/html")
    assert body == again
    assert body["mix"] == {"green-room-cooler": 3, "second-bell": 1}
    assert (body["drinks_per_guest_h"], body["peak_share"], body["peak_minutes"]) == (2, 0.7, 8)


def test_cards_come_from_the_daemon(run: Run, daemon: Daemon, tmp_path: Path) -> None:
    run("cards", str(tmp_path / "all.html"))
    run("cards", str(tmp_path / "one.html"), "--recipe", "second-bell")
    assert [path for path, _, _ in daemon.asked] == ["/v1/cards", "/v1/recipes/second-bell/card"]
