"""Runs the simulated machine and a daemon as two child processes, for the demonstration."""

import json
import queue
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Self

from .failures import CliError

START_S = 60.0
END_S = 10.0


class BackDoor:
    """Moves glasses on the simulated machine: request and answer are one JSON object a line."""

    def __init__(self, address: str) -> None:
        host, _, port = address.rpartition(":")
        self.address = address
        self._socket = socket.create_connection((host, int(port)), timeout=5.0)
        self._file = self._socket.makefile("rwb")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()
        self._socket.close()

    def do(self, command: str, **given: Any) -> None:
        """Carry out a command of the simulator's bench.

        Raises:
            CliError: the simulator refused it.
        """
        self._file.write(json.dumps({"do": command, "with": given}).encode() + b"\n")
        self._file.flush()
        answer = json.loads(self._file.readline() or b'{"ok": false, "error": "it has ended"}')
        if not answer["ok"]:
            raise CliError(f"the simulated machine refused {command}: {answer['error']}")


@dataclass(frozen=True, slots=True)
class SimulatorProcess:
    """The addresses of the two processes, and the daemon's process."""

    url: str
    device: str
    database: Path
    hands: BackDoor
    daemon: "subprocess.Popen[str]"


@contextmanager
def bench(
    directory: Path, machine_id: str, port: int, hands_port: int, speed: float, seed: int
) -> Iterator[SimulatorProcess]:
    """Run both until the block ends; their logs are in `directory`. Port 0 picks any free one.

    Raises:
        CliError: one of them does not start.
    """
    database = directory / "tarewell.db"
    simulator = [sys.executable, "-c", "from tarewell_sim.cli import main; main()", "run", "--pty"]
    simulator += ["--scenario", "theatre_bar", "--no-glass", "--speed", str(speed), "--seed", str(seed)]
    simulator += ["--control", f"127.0.0.1:{hands_port}"]
    with _process(simulator, directory / "simulator.log") as simulated:
        ports = json.loads(_first_line(simulated, "the simulated machine", directory / "simulator.log"))
        daemon = [sys.executable, "-m", "tarewell", "serve", "--device", ports["device"]]
        daemon += ["--database", str(database), "--host", "127.0.0.1", "--port", str(port)]
        daemon += ["--machine-id", machine_id]
        with _process(daemon, directory / "daemon.log") as serving:
            ready = _first_line(serving, "the daemon", directory / "daemon.log")
            with BackDoor(ports["control"]) as hands:
                yield SimulatorProcess(
                    ready.removeprefix("ready "), ports["device"], database, hands, serving
                )


@contextmanager
def _process(command: list[str], log: Path) -> Iterator["subprocess.Popen[str]"]:
    """A process in a session of its own, so that Ctrl-C does not reach it directly."""
    with log.open("w") as stderr:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=stderr,
            text=True,
            start_new_session=True,
        )
        try:
            yield process
        finally:
            process.terminate()
            try:
                process.wait(END_S)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            if process.stdout is not None:
                process.stdout.close()


def _first_line(process: "subprocess.Popen[str]", what: str, log: Path) -> str:
    if process.stdout is None:
        raise RuntimeError("the process was started without a pipe")
    lines: queue.Queue[str] = queue.Queue()
    threading.Thread(target=_read_line, args=(process.stdout, lines), daemon=True).start()
    try:
        line = lines.get(timeout=START_S)
    except queue.Empty:
        line = ""
    if not line:
        said = log.read_text().strip().splitlines()
        raise CliError(f"{what} did not start: {said[-1] if said else f'nothing came in {START_S:g} s'}")
    return line.strip()


def _read_line(stream: IO[str], lines: "queue.Queue[str]") -> None:
    lines.put(stream.readline())
