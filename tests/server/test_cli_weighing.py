"""The scale on the command line: reading, zero, tare and calibration, over a scale that is real but for its
samples."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with
from tarewell.api.schemas.scale import CalibrationView, IndicationView
from tarewell.weighing.calibration import Calibration, CalibrationError, UnlikelySpanError
from tarewell.weighing.scale import Indication, Scale, ScaleError, ScaleRating
from tarewell_protocol.messages import Sample

CELL = Calibration(-84_000.0, 2147.48)


def problem(status: int, kind: str, detail: str) -> httpx.Response:
    return httpx.Response(status, json={"type": f"/problems/{kind}", "detail": detail})


@dataclass
class ScaleDaemon:
    """`on_g` lies on the platform, `bent_g` is an error of its zero; for `moving` more requests it moves."""

    on_g: float = 0.0
    bent_g: float = 0.0
    moving: int = 0
    calibrated: bool = False
    posts: list[tuple[str, Any]] = field(default_factory=list)
    scale: Scale = field(default_factory=lambda: Scale(CELL, ScaleRating()))
    _count: int = 0

    def __call__(self, request: httpx.Request) -> httpx.Response:
        shown = self._weigh()
        path, at_rest = request.url.path, self.moving == 0
        self.moving = max(self.moving - 1, 0)
        if request.method == "GET":
            if not self.calibrated:
                return problem(503, "not-ready", "the scale is not calibrated (`tarewell calibrate`)")
            view = IndicationView.of(shown).model_dump()
            return httpx.Response(200, json=view | {"stable": at_rest})
        body = json.loads(request.content) if request.content not in (b"", b"null") else None
        self.posts.append((f"{request.method} {path}", body))
        if not at_rest and request.method == "POST":
            return problem(409, "scale-not-ready", "the scale is not at rest; wait")
        try:
            return httpx.Response(200, json=self._carry_out(path, request.method, body))
        except UnlikelySpanError as error:
            return problem(422, "calibration-unlikely", str(error))
        except CalibrationError as error:
            return problem(422, "calibration-refused", str(error))
        except ScaleError as error:
            return problem(409, "scale-not-ready", str(error))

    def _weigh(self) -> Indication:
        """A second and a half of samples."""
        for _ in range(120):
            self._count += 1
            counts = round(CELL.counts(self.on_g + self.bent_g))
            now_s = self._count / 80
            self.scale.take(Sample(round(self._count * 12.5), self._count % 65536, counts, 0), now_s)
            shown = self.scale.indication(now_s)
        return shown

    def _carry_out(self, path: str, method: str, body: Any) -> dict[str, Any]:
        match path:
            case "/v1/scale/zero":
                self.scale.adopt(self.scale.zeroed())
            case "/v1/scale/tare" if method == "DELETE":
                self.scale.clear_tare()
            case "/v1/scale/tare":
                self.scale.set_tare()
            case "/v1/scale/calibration/empty":
                return {"empty_counts": self.scale.rest_counts()}
            case "/v1/scale/calibration":
                counts, mass_g = body["empty_counts"], body["reference_g"]
                found = self.scale.calibrated(counts, mass_g, accept_unlikely=body["accept_unlikely"])
                self.scale.adopt(found, counts)
                self.calibrated = True
                return CalibrationView.of(found).model_dump()
        return IndicationView.of(self._weigh()).model_dump()


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> ScaleDaemon:
    daemon = ScaleDaemon()
    answer_with(monkeypatch, daemon)
    monkeypatch.setattr("tarewell.cli.weighing.LOOK_S", 0.0)
    monkeypatch.setattr("tarewell.cli.calibrating.CHANGE_S", 0.0)
    return daemon


# Reading, zero, tare


def test_readings_are_lines_elsewhere_than_on_a_terminal(run: Run, daemon: ScaleDaemon) -> None:
    daemon.calibrated, daemon.on_g, daemon.moving = True, 251.3, 1
    code, out, _ = run("scale", "--count", "2")
    assert (code, out) == (0, "  251.3 g  moving\n  251.3 g  at rest\n")


def test_readings_as_json_are_the_apis(run: Run, daemon: ScaleDaemon) -> None:
    daemon.calibrated, daemon.on_g = True, 1200.0
    _, out, _ = run("scale", "--count", "1", "--json")
    assert json.loads(out)["overload"] is True


def test_readings_go_on_until_ctrl_c(run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch) -> None:
    daemon.calibrated = True
    seen: list[httpx.Request] = []

    def interrupted(request: httpx.Request) -> httpx.Response:
        seen.append(request)
        if len(seen) > 5:
            raise KeyboardInterrupt
        return daemon(request)

    answer_with(monkeypatch, interrupted)
    code, out, err = run("scale")
    assert (code, err) == (0, "")
    assert out == "    0.0 g  at rest\n" * 5


def test_without_a_calibration_the_reading_names_the_command(run: Run, daemon: ScaleDaemon) -> None:
    code, out, err = run("scale")
    assert (code, out) == (7, "")
    assert "`tarewell calibrate`" in err


def test_tare_waits_for_rest_and_is_cleared(run: Run, daemon: ScaleDaemon) -> None:
    daemon.calibrated, daemon.on_g, daemon.moving = True, 250.0, 3
    code, out, _ = run("tare")
    assert code == 0
    assert "the tare is set:     0.0 g  net, 250.0 g gross, 250.0 g tare" in out
    code, out, _ = run("tare", "--clear")
    assert code == 0
    assert "the tare is cleared:   250.0 g  at rest" in out


def test_zero_is_set_on_what_is_left(run: Run, daemon: ScaleDaemon) -> None:
    daemon.calibrated, daemon.on_g, daemon.moving = True, 3.0, 2
    assert "zero is set:     0.0 g" in run("zero")[1]


def test_a_zero_that_is_refused_for_a_load_is_not_waited_for(run: Run, daemon: ScaleDaemon) -> None:
    daemon.calibrated, daemon.on_g = True, 250.0
    code, _, err = run("zero")
    assert code == 7
    assert "take everything off the platform" in err
    assert len(daemon.posts) == 2


def test_a_scale_that_never_rests_is_given_up(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tarewell.cli.weighing.REST_S", 0.0)
    daemon.calibrated, daemon.moving = True, 10_000
    code, _, err = run("tare")
    assert code == 7
    assert "not at rest" in err


# Calibration by script


def test_calibration_by_script_in_two_steps(run: Run, daemon: ScaleDaemon) -> None:
    daemon.moving = 1
    code, out, _ = run("calibrate", "--read-empty")
    assert (code, float(out)) == (0, pytest.approx(-84_000, abs=1))
    daemon.on_g = 500.0
    code, out, _ = run("calibrate", "500", "--empty-counts", out.strip())
    assert (code, out) == (0, "calibrated: 2147.48 counts per g\n")


def test_a_script_may_accept_what_is_unlikely(run: Run, daemon: ScaleDaemon) -> None:
    daemon.on_g = 500.0
    step = ("calibrate", "200", "--empty-counts", "-84000")
    code, _, err = run(*step)
    assert code == 7
    assert err.startswith("tarewell: did you put 200 g on?")
    assert not daemon.calibrated
    code, out, _ = run(*step, "--accept-unlikely")
    assert (code, out) == (0, "calibrated: 5368.70 counts per g\n")


@pytest.mark.parametrize("mass", ["0.001", "5e-324"])
def test_a_mass_that_is_no_reference_is_refused(run: Run, daemon: ScaleDaemon, mass: str) -> None:
    daemon.on_g = 500.0
    code, _, err = run("calibrate", mass, "--empty-counts", "-84000", "--accept-unlikely")
    assert code == 7
    assert "a reference mass must be 50 to 1000 g" in err


@pytest.mark.parametrize(
    "args",
    [
        ("500", "--read-empty"),
        ("--read-empty", "--empty-counts", "0"),
        ("--empty-counts", "0"),
        ("nan", "--empty-counts", "0"),
        ("inf",),
        ("0",),
        ("--", "-200"),
        ("half a litre",),
    ],
)
def test_steps_that_make_no_sense_are_usage_errors(
    run: Run, daemon: ScaleDaemon, args: tuple[str, ...]
) -> None:
    code, _, err = run("calibrate", *args)
    assert code == 2
    assert "Usage" in err
    assert daemon.posts == []


def test_without_a_terminal_it_says_how_a_script_calibrates(run: Run, daemon: ScaleDaemon) -> None:
    code, _, err = run("calibrate", "500")
    assert code == 2
    assert "`tarewell calibrate --read-empty`" in err
    assert "`tarewell calibrate MASS_G --empty-counts COUNTS`" in err
    assert daemon.posts == []


# Calibration as a dialogue

Act = Callable[[ScaleDaemon], None]


def lies(mass_g: float, bent_g: float = 0.0) -> Act:
    def act(daemon: ScaleDaemon) -> None:
        daemon.on_g, daemon.bent_g = mass_g, bent_g

    return act


def nothing(daemon: ScaleDaemon) -> None:
    pass


def press_ctrl_c(daemon: ScaleDaemon) -> None:
    raise KeyboardInterrupt


def press_ctrl_d(daemon: ScaleDaemon) -> None:
    raise EOFError


def person(monkeypatch: pytest.MonkeyPatch, daemon: ScaleDaemon, *steps: tuple[Act, str]) -> None:
    """Does something at the platform and answers, once for each question."""
    left = list(steps)

    def answer(prompt: str = "") -> str:
        act, line = left.pop(0)
        act(daemon)
        return line

    monkeypatch.setattr("builtins.input", answer)
    monkeypatch.setattr("tarewell.cli.calibrating.at_terminal", lambda: True)


def test_the_dialogue_asks_for_empty_mass_and_empty_again(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (nothing, "500"), (lies(500.0), ""), (lies(0.0), ""))
    code, out, _ = run("calibrate")
    assert code == 0
    asked = ["Take everything off", "The reference mass in g", "Put the 500 g in the middle", "Take it off"]
    places = [out.index(question) for question in asked]
    assert places == sorted(places)
    assert "calibrated: 2147.48 counts per g" in out
    assert "the empty platform reads 0.0 g; done" in out
    assert daemon.scale.calibration.grams(CELL.counts(500.0)) == pytest.approx(500.0, abs=0.05)


def test_a_mass_on_the_command_line_is_not_asked_for(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (lies(0.0), ""))
    code, out, _ = run("calibrate", "500")
    assert code == 0
    assert "The reference mass in g" not in out


def test_what_is_no_mass_is_asked_again(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = [(nothing, line) for line in ("", "half a litre", "-5", "nan", "0", " 500 ")]
    person(monkeypatch, daemon, (lies(0.0), ""), *answers, (lies(500.0), ""), (lies(0.0), ""))
    code, out, _ = run("calibrate")
    assert code == 0
    assert out.count("a number of g, such as 500") == 5


def test_another_mass_than_the_one_given_is_questioned_and_then_read(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (nothing, "500"), (lies(0.0), ""))
    code, out, _ = run("calibrate", "200")
    assert code == 0
    assert "did you put 200 g on?" in out
    assert "calibrated: 2147.48 counts per g" in out


def test_who_is_sure_of_an_unlikely_span_accepts_it(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (nothing, "accept"), (lies(0.0), ""))
    code, out, _ = run("calibrate", "200")
    assert code == 0
    assert "calibrated: 5368.70 counts per g" in out


def test_a_mass_that_was_not_put_on_is_asked_for_again(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (nothing, ""), (lies(500.0), "500"), (lies(0.0), ""))
    code, out, _ = run("calibrate", "500")
    assert code == 0
    assert "the reading moved by only 0 counts" in out
    assert "calibrated: 2147.48 counts per g" in out


def test_a_platform_that_does_not_come_back_to_zero_is_told(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (lies(0.0, bent_g=0.6), ""))
    code, _, err = run("calibrate", "500")
    assert code == 1
    assert "the empty platform reads 0.6 g instead of 0" in err


@pytest.mark.parametrize("leave", [press_ctrl_c, press_ctrl_d])
def test_whoever_leaves_before_the_mass_was_read_changes_nothing(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch, leave: Act
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (leave, ""))
    code, _, err = run("calibrate", "200")
    assert (code, err) == (130, "tarewell: left the calibration; nothing was changed\n")
    assert not daemon.calibrated


def test_whoever_leaves_before_the_last_look_keeps_the_calibration(
    run: Run, daemon: ScaleDaemon, monkeypatch: pytest.MonkeyPatch
) -> None:
    person(monkeypatch, daemon, (lies(0.0), ""), (lies(500.0), ""), (press_ctrl_c, ""))
    code, _, err = run("calibrate", "500")
    assert (code, err) == (130, "tarewell: left the calibration; the new calibration is kept\n")
    assert daemon.calibrated
