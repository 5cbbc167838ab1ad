"""Descriptors, disk and database run short in mid-pour: the control goes on, and the records catch up."""

import resource
import socket
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from urllib.parse import urlsplit

import httpx
import pytest

from stack import Stack

HALF_OPEN = 1500
DOSE_G = 40.0


@pytest.fixture
def more_descriptors() -> Iterator[None]:
    """This process opens more sockets than it usually may."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, 4096), hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


def check_complete(stack: Stack, pour_id: str) -> None:
    """The pour has ended as if nothing had been."""
    record = stack.finished(pour_id, 90.0)
    assert record["state"] == "complete"
    assert record["doses"][0]["verdict"] == "within"
    entries = stack.api.get(f"/pours/{pour_id}/trace").json()["entries"]
    states = [entry["detail"]["state"] for entry in entries if entry["what"] == "StateChanged"]
    assert "held" not in states
    assert states[-1] == "complete"


def test_half_open_connections_fill_the_front_and_leave_the_pour_alone(
    stack: Stack, more_descriptors: None
) -> None:
    begun = stack.pour({"channel": 1, "amount_g": DOSE_G})
    parts = urlsplit(str(stack.api.base_url))
    with ExitStack() as opened:
        for _ in range(HALF_OPEN):
            connection = socket.create_connection((parts.hostname, parts.port), timeout=5.0)
            opened.enter_context(closing(connection)).sendall(b"GET /v1/health HTTP/1.1\r\n")
        with httpx.Client(base_url=f"{parts.scheme}://{parts.netloc}") as late:
            refused = stack.wait(lambda: _asked(late))
        assert refused.status_code == 503
        assert int(refused.headers["Retry-After"]) > 0
        assert refused.headers["Content-Type"] == "application/problem+json"
    with httpx.Client(base_url=f"{parts.scheme}://{parts.netloc}") as late:
        stack.wait(lambda: (answer := _asked(late)) and answer.status_code == 200)
    check_complete(stack, begun["id"])


def _asked(client: httpx.Client) -> httpx.Response | None:
    """What the front says, unless it is too full to say so."""
    with suppress(httpx.TransportError):
        return client.get("/v1/health")
    return None


def test_a_database_held_by_somebody_else_leaves_the_pour_alone(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": DOSE_G})
    with closing(sqlite3.connect(stack.folder / "tarewell.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        blocked = stack.wait(lambda: stack.api.get("/machine").json()["blockers"])
        assert "locked by another process" in " ".join(blocked)
        other.execute("ROLLBACK")
    check_complete(stack, begun["id"])
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)


def test_a_full_disk_leaves_the_pour_alone(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": DOSE_G})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    assert stack.daemon is not None
    machine = stack.daemon.child.pid
    written = (stack.folder / "tarewell.sqlite-wal").stat().st_size
    unlimited = resource.prlimit(machine, resource.RLIMIT_FSIZE)
    resource.prlimit(machine, resource.RLIMIT_FSIZE, (min(written, 8192), unlimited[1]))
    try:
        blocked = stack.wait(lambda: stack.api.get("/machine").json()["blockers"])
        assert "the records cannot be written" in " ".join(blocked)
        refused = stack.api.post("/pours", json={"doses": [{"channel": 1, "amount_g": DOSE_G}]})
        assert refused.status_code == 409
        stack.wait(lambda: not stack.bench.truth()["pump_on"], 60.0)
    finally:
        resource.prlimit(machine, resource.RLIMIT_FSIZE, unlimited)
    check_complete(stack, begun["id"])
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)
