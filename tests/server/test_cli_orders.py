"""Orders on the command line."""

import json
from typing import Any

import httpx
import pytest

from command_line import Run, answer_with, runner

FIRST = {
    "id": "o-1",
    "number": 44,
    "name": "Green [b]Room[/b] Cooler",
    "guest": "seat 14",
    "state": "next",
    "bar_looks": False,
    "expected_at": None,
}
SECOND = {**FIRST, "id": "o-2", "number": 45, "guest": None, "state": "waiting", "bar_looks": True}
READY = {**FIRST, "id": "o-3", "number": 43, "state": "ready"}


class OrderAnswers:
    """A daemon with three orders, which keeps what it was asked."""

    def __init__(self) -> None:
        self.orders = [FIRST, SECOND, READY]
        self.asked: list[tuple[str, str, Any]] = []

    def __call__(self, request: httpx.Request) -> httpx.Response:
        body = json.loads(request.content) if request.content else None
        self.asked.append((request.method, request.url.path, body))
        if request.url.path == "/v1/rounds":
            return httpx.Response(422, json={"detail": "1 of 2 glasses can be poured"})
        if request.url.path == "/v1/service/link":
            return httpx.Response(201, json={"path": "/e/k-1"})
        return httpx.Response(200, json=self.orders if request.method == "GET" else {"title": "Late"})


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


@pytest.fixture
def daemon(monkeypatch: pytest.MonkeyPatch) -> OrderAnswers:
    answers = OrderAnswers()
    answer_with(monkeypatch, answers)
    return answers


def test_the_line_is_listed_and_names_are_text(run: Run, daemon: OrderAnswers) -> None:
    code, out, _ = run("orders")
    assert code == 0
    _, first, second, ready = out.splitlines()
    assert first.split() == ["44", "Green", "[b]Room[/b]", "Cooler", "seat", "14", "next"]
    assert "waiting, look first" in second
    assert ready.rstrip().endswith("ready")
    daemon.orders = []
    assert run("orders")[1] == "no order waits\n"


def test_all_that_wait_are_released_unless_numbers_are_given(run: Run, daemon: OrderAnswers) -> None:
    code, _, err = run("orders", "release", "--auto")
    assert (code != 0, "1 of 2 glasses can be poured" in err) == (True, True)
    body = {"orders": [44, 45], "auto_start": True, "allow_short": False}
    assert daemon.asked[-1] == ("POST", "/v1/rounds", body)
    run("orders", "release", "45")
    assert daemon.asked[-1][2]["orders"] == [45]
    daemon.orders = [READY]
    assert "no order waits" in run("orders", "release")[2]


def test_an_order_is_sent_back_by_its_number(run: Run, daemon: OrderAnswers) -> None:
    assert run("orders", "send-back", "45", "--why", "Gallery Juice is out")[0] == 0
    asked = ("POST", "/v1/orders/o-2/send-back", {"reason": "Gallery Juice is out"})
    assert daemon.asked[-1] == asked
    assert "order 7 is not in line" in run("orders", "send-back", "7", "--why", "x")[2]


def test_a_service_is_opened_and_closed_and_its_link_is_printed(run: Run, daemon: OrderAnswers) -> None:
    assert run("orders", "open", "Second night", "--guests")[1] == "open: Second night\n"
    assert daemon.asked[-1][2] == {"title": "Second night", "guests_may_order": True}
    assert run("orders", "link")[1].endswith("/e/k-1\n")
    assert run("orders", "close")[1] == "closed: Late\n"
