"""Statistics and the filters of the history on the command line."""

import json
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with

ERRORS: list[dict[str, Any]] = [
    {
        "channel": 1,
        "liquid_id": "house-water",
        "liquid_name": "House [b]Water[/b]",
        "doses": 31,
        "mean_error_g": 0.08,
        "limits": {"mean_g": 0.08, "lower_g": -0.71, "upper_g": 0.87},
        "beyond": 1,
    },
    {
        "channel": 4,
        "liquid_id": "prompters-cordial",
        "liquid_name": "Prompter's Cordial",
        "doses": 7,
        "mean_error_g": -0.2,
        "limits": None,
        "beyond": 0,
    },
]


class StatisticsAnswers:
    """A daemon with statistics; keeps what was asked."""

    def __init__(self) -> None:
        self.errors = ERRORS
        self.asked: list[tuple[str, dict[str, str]]] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.asked.append((request.url.path, dict(request.url.params)))
        if request.url.path == "/v1/statistics":
            return httpx.Response(200, json={"errors": self.errors})
        return httpx.Response(200, json=[])


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> StatisticsAnswers:
    double = StatisticsAnswers()
    answer_with(monkeypatch, double)
    return double


def test_a_line_for_each_channel_and_liquid(run: Run, answers: StatisticsAnswers) -> None:
    code, out, _ = run("statistics", "--day", "2031-03-14", "--channel", "1")
    assert code == 0
    assert answers.asked == [("/v1/statistics", {"day": "2031-03-14", "channel": "1"})]
    water, cordial = out.splitlines()[-2:]
    assert water.split() == ["1", "31", "+0.1", "-0.7", "to", "+0.9", "1", "House", "[b]Water[/b]"]
    assert cordial.split() == ["4", "7", "-0.2", "too", "few", "0", "Prompter's", "Cordial"]


def test_as_json_and_without_doses(run: Run, answers: StatisticsAnswers) -> None:
    assert json.loads(run("statistics", "--json")[1]) == {"errors": ERRORS}
    answers.errors = []
    assert run("statistics")[1].strip() == "no doses"


def test_the_filters_of_the_history_are_sent(run: Run, answers: StatisticsAnswers) -> None:
    line = ["--day", "2031-03-14", "--recipe", "second-bell", "--guest", "seat 14", "--no-alarm", "--missed"]
    code, out, _ = run("history", *line)
    assert (code, out.strip()) == (0, "no pours")
    (asked,) = [query for path, query in answers.asked if path == "/v1/pours"]
    assert asked == {
        "day": "2031-03-14",
        "recipe": "second-bell",
        "guest": "seat 14",
        "alarm": "false",
        "out_of_tolerance": "true",
        "limit": "20",
    }
