"""Two processes: what the end of one means for the other, and how the daemon starts and ends."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from stack import Process, Stack

SERVED_AGAIN_S = 5.0
PUMP_OFF_S = 0.5


def front_of(daemon: Process | None) -> int:
    """The process number of a daemon's front."""
    assert daemon is not None
    found = subprocess.run(["pgrep", "-P", str(daemon.child.pid)], capture_output=True, text=True, check=True)
    (front,) = found.stdout.split()
    return int(front)


def alive(pid: int) -> bool:
    """Whether a process runs; one that has ended and was not waited for does not."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:  # it has gone, perhaps while this was read
        return False
    return state != "Z"


Serve = Callable[..., Process]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Starts daemons without a board; they are ended whatever happens."""
    started: list[Process] = []

    def start(**env: str) -> Process:
        own = {
            "TAREWELL_DEVICE": str(tmp_path / "no-board"),
            "TAREWELL_DATABASE": str(tmp_path / "new" / "bar.db"),
            "TAREWELL_PORT": "0",
        }
        started.append(Process("tarewell.cli", ["serve"], own | env))
        return started[-1]

    yield start
    for process in started:
        process.end(signal.SIGKILL)


def test_the_front_killed_in_mid_pour_costs_nothing_but_the_front(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["glass_contents_g"] > 10)
    front, killed_s = front_of(stack.daemon), time.monotonic()
    os.kill(front, signal.SIGKILL)
    stack.wait(lambda: _answers(stack), SERVED_AGAIN_S * 4)
    served_again_s = time.monotonic() - killed_s
    record = stack.finished(begun["id"])
    assert record["state"] == "complete"
    assert record["doses"][0]["verdict"] == "within"
    assert front_of(stack.daemon) != front
    assert served_again_s < SERVED_AGAIN_S * 4  # on a machine that does nothing else it is a quarter of that


def _answers(stack: Stack) -> bool:
    try:
        return stack.api.get("/machine").status_code == 200
    except httpx.TransportError:
        return False


def test_the_machine_killed_in_mid_pour_ends_pump_and_front(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    front = front_of(stack.daemon)
    stack.stop(signal.SIGKILL)
    stack.wait(lambda: not stack.bench.truth()["pump_on"], PUMP_OFF_S + 0.5)
    stack.wait(lambda: not alive(front))
    stack.start()
    assert stack.read(begun["id"])["state"] == "interrupted"


def test_a_front_that_hangs_is_replaced_and_the_pour_goes_on(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 60})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    front = front_of(stack.daemon)
    os.kill(front, signal.SIGSTOP)
    stack.wait(lambda: not alive(front), 40.0)
    stack.wait(lambda: _answers(stack), 40.0)
    assert stack.finished(begun["id"])["state"] == "complete"


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_from_the_ready_line_to_a_clean_end(serve: Serve, number: signal.Signals) -> None:
    daemon = serve()
    word, url = daemon.first_line().split()
    front = front_of(daemon)
    assert word == "ready"
    with httpx.Client(base_url=url, timeout=60.0) as client:
        assert client.get("/v1/health").status_code == 200
        assert "no device" in client.get("/v1/machine").json()["link"]["reason"]
        with client.stream("GET", "/v1/events") as stream:
            lines = stream.iter_lines()
            next(lines)
            daemon.child.send_signal(number)
            for _ in lines:
                pass
    assert daemon.end(number) == 0
    assert not alive(front)
    with pytest.raises(httpx.ConnectError):
        httpx.get(url)


def test_a_second_daemon_with_the_same_database_is_refused(serve: Serve) -> None:
    first = serve()
    first.first_line()
    second = serve()
    assert second.child.wait(20) == 1
    assert first.end() == 0
    second.end()
    assert "another process runs the machine" in second.errors[-1]


def test_what_stands_in_the_way_of_a_start_is_said_in_one_line(tmp_path: Path, serve: Serve) -> None:
    (tmp_path / "file").write_text("in the way")
    with socket.create_server(("127.0.0.1", 0)) as taken:
        faults = {
            "is a daemon already running": {"TAREWELL_PORT": str(taken.getsockname()[1])},
            "correct the setting `database`": {"TAREWELL_DATABASE": str(tmp_path / "file" / "bar.db")},
            "not an SQLite database": {"TAREWELL_DATABASE": str(tmp_path / "file")},
        }
        for said, env in faults.items():
            daemon = serve(**env)
            assert daemon.child.wait(20) == 1, said
            daemon.end()
            assert said in daemon.errors[-1]


def test_the_front_gives_up_a_real_time_priority(serve: Serve) -> None:
    daemon = serve()
    try:
        os.sched_setscheduler(daemon.child.pid, os.SCHED_FIFO, os.sched_param(1))
    except PermissionError:
        return  # nothing to give up
    daemon.first_line()
    assert os.sched_getscheduler(daemon.child.pid) == os.SCHED_FIFO
    assert os.sched_getscheduler(front_of(daemon)) == os.SCHED_OTHER
