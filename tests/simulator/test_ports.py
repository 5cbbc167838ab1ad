"""Pseudo-terminal, TCP and back door in real time. Every wait is for an event and has a bound."""

import asyncio
import json
import os
import select
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tarewell_sim.bench import BenchError
from tarewell_sim.control import ControlClient, answer, parse_loopback
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.pacing import pace
from tarewell_sim.ports import PtyPort, SimulatedPortError, SimulatedTcpPort
from tarewell_sim.specs import Scenario

BOUND_S = 10.0
HELLO = b">00 hello 2 A3F2*F603\n"
COMMAND = [sys.executable, "-c", "from tarewell_sim.cli import main; main()"]


@contextmanager
def simulator(*args: str) -> Iterator[tuple[dict[str, str], subprocess.Popen[str]]]:
    """The program itself, with its ready line."""
    process = subprocess.Popen(
        [*COMMAND, "run", *args], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        yield json.loads(process.stdout.readline()), process
    finally:
        process.kill()
        process.communicate(timeout=BOUND_S)


def hear(descriptor: int, until: bytes) -> bytes:
    """Read until the words were said."""
    heard = b""
    while until not in heard:
        ready, _, _ = select.select([descriptor], [], [], BOUND_S)
        assert ready, f"nothing more after {heard!r}"
        data = os.read(descriptor, 4096)
        assert data, f"hung up after {heard!r}"
        heard += data
    return heard


def ended(process: subprocess.Popen[str]) -> tuple[int, str]:
    """Its exit code and what it still said, after a polite signal, without notes of a busy computer."""
    process.send_signal(signal.SIGTERM)
    output, errors = process.communicate(timeout=BOUND_S)
    said = (output + errors).splitlines(keepends=True)
    return process.returncode, "".join(line for line in said if "ms late, skipped" not in line)


def test_a_pseudo_terminal_from_start_to_end(tmp_path: Path) -> None:
    link = tmp_path / "board"
    with simulator("--pty", "--link", str(link), "--glass", "--seed", "3") as (ready, process):
        assert ready["device"] == str(link)
        for _ in range(2):  # a host may come and go
            descriptor = os.open(link, os.O_RDWR | os.O_NOCTTY)
            os.write(descriptor, HELLO)
            heard = hear(descriptor, b"*8E6F\n")
            assert b">00" not in heard, "the terminal echoes"
            assert b"<00 hello 2 0.2.0 foyer-01 8 80.0 25 8388607 rvk 20x4 power*8E6F\n" in heard
            hear(descriptor, b"\n#")
            os.close(descriptor)
        with ControlClient(ready["control"]) as bench:
            assert bench.truth()["glass_present"] is True
            descriptor = os.open(link, os.O_RDWR | os.O_NOCTTY)
            bench.call("unplug")
            with pytest.raises((OSError, AssertionError)):
                hear(descriptor, b"never")
            os.close(descriptor)
        code, said = ended(process)
        assert (code, said) == (0, "")
        assert not link.is_symlink()


def test_tcp_and_the_back_door_from_start_to_end() -> None:
    with simulator("--tcp", "127.0.0.1:0", "--speed", "5") as (ready, process):
        host, port = ready["device"].removeprefix("tcp://").split(":")
        with (
            socket.create_connection((host, int(port)), BOUND_S) as line,
            ControlClient(ready["control"]) as bench,
        ):
            line.sendall(HELLO)
            hear(line.fileno(), b"\n#")
            bench.call("place_glass", mass_g=200, contents_g=10)
            assert bench.truth()["glass_contents_g"] == 10
            assert set(bench.truth()["bottle_g"]) == set(range(1, 9))
            with pytest.raises(BenchError, match="did you mean 'unplug'"):
                bench.call("unplugg")
            with socket.create_connection((host, int(port)), BOUND_S) as second:
                second.settimeout(BOUND_S)
                assert not heard_anything(second), "one host at a time"
            bench.call("turn", steps=2)
            hear(line.fileno(), b" knob 2 ")
        code, said = ended(process)
        assert (code, said) == (0, "")


def heard_anything(line: socket.socket) -> bool:
    try:
        return bool(line.recv(100))
    except ConnectionResetError:
        return False


def test_a_port_in_use_is_named_with_the_cure() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        for option in (["--tcp", f"127.0.0.1:{port}"], ["--pty", "--control", f"127.0.0.1:{port}"]):
            done = subprocess.run([*COMMAND, "run", *option], capture_output=True, text=True, timeout=BOUND_S)
            assert done.returncode == 1
            assert done.stdout == ""
            assert f"127.0.0.1:{port} is in use; end the other program or use another port" in done.stderr


async def heard_by(reader: asyncio.StreamReader, words: bytes) -> bytes:
    return await asyncio.wait_for(reader.readuntil(words), BOUND_S)


async def test_an_unplugged_tcp_port_hangs_up_and_comes_back(quiet: Callable[..., Scenario]) -> None:
    machine, port, stop = SimulatedMachine(quiet(), 1), SimulatedTcpPort("127.0.0.1", 0), asyncio.Event()
    await port.plug()
    pacing = asyncio.create_task(pace(machine, port, 1.0, stop))
    address = port.device.removeprefix("tcp://").split(":")
    reader, writer = await asyncio.open_connection(*address)
    writer.write(HELLO)
    await heard_by(reader, b"<00 hello")
    machine.bench.unplug()
    with pytest.raises((asyncio.IncompleteReadError, ConnectionError)):
        await heard_by(reader, b"never")
    writer.close()
    with pytest.raises(ConnectionError):
        await asyncio.open_connection(*address)
    machine.bench.replug()
    again = await asyncio.wait_for(reconnect(address), BOUND_S)
    again[1].write(HELLO)
    await heard_by(again[0], b"<00 hello")
    again[1].close()
    stop.set()
    await asyncio.wait_for(pacing, BOUND_S)
    port.unplug()


async def reconnect(address: list[str]) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    while True:
        try:
            return await asyncio.open_connection(*address)
        except ConnectionRefusedError:
            await asyncio.sleep(0)


async def test_a_replugged_terminal_is_found_by_its_link(tmp_path: Path) -> None:
    port = PtyPort(tmp_path / "board")
    await port.plug()
    first = port.device
    port.unplug()
    assert not Path(first).exists()
    await port.plug()
    assert port.device == first
    with Path(first).open("r+b", buffering=0) as terminal:
        port.send(b"hello\n")
        assert terminal.read(6) == b"hello\n"
    port.unplug()
    port.unplug()


async def test_a_link_never_replaces_a_file(tmp_path: Path) -> None:
    precious = tmp_path / "notes"
    precious.write_text("keep")
    port = PtyPort(precious)
    with pytest.raises(SimulatedPortError, match="remove it or choose another name"):
        await port.plug()
    port.unplug()
    assert precious.read_text() == "keep"


async def test_a_terminal_nobody_reads_drops_bytes_and_does_not_block() -> None:
    port = PtyPort()
    await port.plug()
    for _ in range(2000):
        port.send(b"#1 1 1 00 -*0000\n")
    port.unplug()


class Line:
    """A port that counts what passes."""

    device = "none"

    def __init__(self, stop: asyncio.Event, enough: int) -> None:
        self._stop, self._enough = stop, enough
        self.sent: list[bytes] = []

    async def plug(self) -> None:
        """Nothing to do."""

    def unplug(self) -> None:
        """Nothing to do."""

    def receive(self) -> bytes:
        return HELLO if not self.sent else b""

    def send(self, data: bytes) -> None:
        self.sent.append(data)
        if len(self.sent) >= self._enough:
            self._stop.set()


@pytest.mark.parametrize("speed", [1.0, 20.0])
async def test_pacing_follows_the_wall_at_its_speed(quiet: Callable[..., Scenario], speed: float) -> None:
    machine, stop = SimulatedMachine(quiet(), 1), asyncio.Event()
    line = Line(stop, 20)
    loop = asyncio.get_running_loop()
    start_s = loop.time()
    await asyncio.wait_for(pace(machine, line, speed, stop), BOUND_S)
    # never ahead of the wall by more than the piece just simulated
    assert machine.now_s <= (loop.time() - start_s + 0.005) * speed


async def test_lost_time_is_left_out_and_told(
    quiet: Callable[..., Scenario], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine, stop = SimulatedMachine(quiet(), 1), asyncio.Event()
    loop = asyncio.get_running_loop()
    real_time, jump_s = loop.time, [0.0]
    monkeypatch.setattr(loop, "time", lambda: real_time() + jump_s[0])
    line = Line(stop, 10)
    first_send = line.send

    def jump(data: bytes) -> None:
        jump_s[0] = 30.0
        first_send(data)

    monkeypatch.setattr(line, "send", jump)
    await asyncio.wait_for(pace(machine, line, 1.0, stop), 60)
    (told,) = (record.message for record in caplog.records if float(record.message.split()[0]) >= 29_000)
    assert "ms late, skipped" in told and told.endswith("too high")
    assert machine.now_s < 5.0


@pytest.mark.parametrize("address", ["192.0.2.1:0", "example:1", "127.0.0.1", "127.0.0.1:70000", ":5"])
def test_the_back_door_opens_to_this_computer_only(address: str) -> None:
    with pytest.raises(SimulatedPortError, match=r"127\.0\.0\.1"):
        parse_loopback(address)


@pytest.mark.parametrize("line", [b"{", b"[]", b'{"do": 3}', b'{"do": "bump", "with": 7}', b"\xff"])
def test_nonsense_at_the_back_door_is_answered(quiet: Callable[..., Scenario], line: bytes) -> None:
    reply: dict[str, Any] = answer(SimulatedMachine(quiet(), 1), line)
    assert reply["ok"] is False and reply["error"]
