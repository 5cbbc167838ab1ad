"""`tarewell plan` and `tarewell cards`, from a set-up file and from a scripted daemon."""

import json
from pathlib import Path
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with
from planned_bar import SETUP

EVENING = ("plan", "--guests", "40", "--hours", "0.5", "--mix", "green-room-cooler=3,second-bell=1")


@pytest.fixture
def offline(tmp_path: Path) -> tuple[str, str]:
    """The option that takes a set-up file in place of a daemon."""
    file = tmp_path / "bar.toml"
    file.write_text(SETUP, "utf-8")
    return "--setup", str(file)


def test_a_plan_from_a_file_alone(run: Run, offline: tuple[str, str]) -> None:
    code, out, _ = run(*EVENING, "--per-guest", "1", *offline)
    assert code == 0
    lines = [" ".join(line.split()) for line in out.splitlines()]
    # (48 g + 160 g) / 5 g/s, 2 x 0.6 s, 1.3 s, 8 s for the glass and 6 s for ice; 30 x (0.16 + 0.08)
    assert "Green Room Cooler, without alcohol 30 200 0.0 0.0 58 guessed 7.20" in lines
    assert "Footlight Spirit 250 ml 275 ml 700 ml nothing" in lines
    assert "Prompter's Cordial 1.2 l 1.3 l 500 ml 1 x 1000 ml 4.00" in lines
    assert "ice 2.0 kg 2.0 kg" in lines
    assert any(line.startswith("At the peak, ") and "?" not in line for line in lines)
    assert sum(line.startswith("Caution: ") for line in lines) == 3


def test_per_guest_is_in_all_and_per_guest_hour_by_the_hour(run: Run, offline: tuple[str, str]) -> None:
    by = {
        option: json.loads(run(*EVENING, option, "1.2", "--json", *offline)[1])["drinks"]
        for option in ("--per-guest", "--per-guest-hour")
    }
    assert by == {"--per-guest": 48, "--per-guest-hour": 24}


def test_sizes_and_times_of_the_own_bar(run: Run, offline: tuple[str, str]) -> None:
    sizes = ("--bottle", "foyer-soda=500@0.9, 1500@1.9", "--bottle", "prompters-cordial=250")
    _, out, _ = run(
        *EVENING, "--per-guest", "4", *sizes, "--time", "glass_change_s=0,ice_s=0", "--json", *offline
    )
    shown = json.loads(out)
    bottles = {entry["liquid_id"]: entry["bottles"] for entry in shown["liquids"]}
    assert bottles["foyer-soda"] == [{"ml": 1500, "count": 3}]  # 4.4 l
    assert bottles["prompters-cordial"] == [{"ml": 250, "count": 20}]  # 5.28 l less 0.5 l
    assert shown["recipes"][0]["service_s"] == pytest.approx(44.0, abs=0.1)


def test_a_page_is_written(run: Run, offline: tuple[str, str], tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    code, _, err = run(*EVENING, "--per-guest", "1", "--title", "<Gala>", "--page", str(page), *offline)
    assert (code, str(page) in err) == (0, True)
    assert "&lt;Gala&gt;" in page.read_text("utf-8")


def test_cards_are_written(run: Run, offline: tuple[str, str], tmp_path: Path) -> None:
    out = tmp_path / "cards.html"
    assert run("cards", str(out), *offline)[0] == 0
    assert out.read_text("utf-8").count("</h1>") == 4
    assert run("cards", str(out), "--recipe", "second-bell", *offline)[0] == 0
    assert out.read_text("utf-8").count("</h1>") == 1
    code, _, err = run("cards", str(out), "--recipe", "third-bell", *offline)
    assert (code, "no recipe 'third-bell'" in err) == (1, True)


def test_a_page_that_cannot_be_written_is_told(run: Run, offline: tuple[str, str], tmp_path: Path) -> None:
    code, _, err = run("cards", str(tmp_path / "no" / "cards.html"), *offline)
    assert (code, "cannot be written" in err) == (1, True)


@pytest.mark.parametrize(
    ("args", "code", "said"),
    [
        (("--per-guest", "1", "--guests", "-4"), 7, "/guests: guests must be from 1"),
        (("--per-guest", "1", "--hours", "0"), 2, "more than 0"),
        (("--per-guest-hour", "1", "--hours", "0"), 7, "/hours"),
        (("--per-guest", "1", "--mix", "house-red=1"), 7, "there is no recipe 'house-red'"),
        (("--per-guest", "1", "--mix", "second-bell"), 2, "NAME=NUMBER"),
        (("--per-guest", "1", "--mix", "second-bell=2"), 2, "given twice"),
        (("--per-guest", "1", "--bottle", "foyer-soda=0.5l"), 2, "LIQUID=ML"),
        (("--per-guest", "1", "--time", "ice=3"), 7, "/times/ice"),
        (("--per-guest", "1", "--seed", "-1"), 7, "/seed"),
        ((), 2, "exactly one of"),
        (("--per-guest", "1", "--per-guest-hour", "1"), 2, "exactly one of"),
    ],
)
def test_what_cannot_be_is_refused(
    run: Run, offline: tuple[str, str], args: tuple[str, ...], code: int, said: str
) -> None:
    found, _, err = run(*EVENING, *args, *offline)
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


class PlanningDaemon:
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
def daemon(run: Run, offline: tuple[str, str], monkeypatch: pytest.MonkeyPatch) -> PlanningDaemon:
    daemon = PlanningDaemon(json.loads(run(*EVENING, "--per-guest", "1", "--json", *offline)[1]))
    answer_with(monkeypatch, daemon)
    return daemon


def test_the_daemon_is_asked_for_plan_and_page(run: Run, daemon: PlanningDaemon, tmp_path: Path) -> None:
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


def test_cards_come_from_the_daemon(run: Run, daemon: PlanningDaemon, tmp_path: Path) -> None:
    run("cards", str(tmp_path / "all.html"))
    run("cards", str(tmp_path / "one.html"), "--recipe", "second-bell")
    assert [path for path, _, _ in daemon.asked] == ["/v1/cards", "/v1/recipes/second-bell/card"]
