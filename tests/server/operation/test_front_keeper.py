"""The front comes back when it dies, and gives the machine up when it never serves."""

import asyncio
import socket
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from empty_database import copy_empty
from machine_double import MachineDouble
from tarewell.operation import front_keeper
from tarewell.operation.front_keeper import FrontDownError, FrontKeeper
from tarewell.operation.launch import Front, launch
from tarewell.records.store import Store

ENDS = "import sys; sys.stdin.read(); sys.exit(3)"
SERVES_AND_ENDS = """
import socket, sys
settings = sys.stdin.read()
asked = socket.socket(fileno=int(sys.argv[1]))
asked.sendall(b'{"ready": true}\\n')
asked.recv(1)
"""


@pytest.fixture
def listening() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        yield listening


@pytest.fixture
async def store(tmp_path: Path) -> Store:
    return await Store.open(copy_empty(tmp_path / "bar.db"), "interval-bar", "0.1.0")


def keeper(store: Store, listening: socket.socket, program: str, started: list[Front]) -> FrontKeeper:
    machine = MachineDouble(store)

    def start() -> Front:
        started.append(launch(listening, b"{}", (sys.executable, "-c", program)))
        return started[-1]

    return FrontKeeper(machine, machine.writer, start, lambda: None)  # type: ignore[arg-type]


async def test_a_front_that_never_serves_ends_the_machine(
    store: Store, listening: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(front_keeper, "FIRST_PAUSE_S", 0.0)
    started: list[Front] = []
    with pytest.raises(FrontDownError, match="ended 5 times and never served"):
        await keeper(store, listening, ENDS, started).run()
    assert [front.process.returncode for front in started] == [3] * 5
    await store.close()


async def test_a_front_that_has_served_is_started_again_and_again(
    store: Store, listening: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(front_keeper, "FIRST_PAUSE_S", 0.0)
    started: list[Front] = []
    kept = keeper(store, listening, SERVES_AND_ENDS, started)
    keeping = asyncio.create_task(kept.run())
    async with asyncio.timeout(30):
        while len(started) < 8:
            await asyncio.sleep(0)
    await kept.end()
    await keeping
    assert all(front.process.returncode is not None for front in started)
    await store.close()
