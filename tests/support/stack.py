"""The simulated machine and the daemon as processes, as a user runs them, and an HTTP client for them."""

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import httpx
import pytest

from tarewell_sim.control import ControlClient

READY_S = 60.0
POLL_S = 0.1
"""Each look costs the front some milliseconds, of the processor that all stacks share."""
NICE = -10
LATE_ALARMS = ("stale_reading", "host_late")
"""What holds a pour where a process of the stack waits for the processor."""
EMULATOR = Path(__file__).parents[2] / "simulator" / "avr"

LIQUIDS: dict[int, tuple[str, str, float, float]] = {
    # channel: id, name, density g/ml, % vol. Densities: water Tanaka 18 degC; 40 % vol OIML R 22; sucrose 65,
    # 30 and 10 degrees Brix ICUMSA polynomial, all as in the reference tables of the simulator's tests.
    1: ("house-water", "House Water", 0.9986, 0.0),
    2: ("footlight-spirit", "Footlight Spirit", 0.9480, 40.0),
    3: ("dress-circle-syrup", "Dress Circle Syrup", 1.3166, 0.0),
    4: ("prompters-cordial", "Prompter's Cordial", 1.1270, 0.0),
    5: ("gallery-juice", "Gallery Juice", 1.0381, 0.0),
}


def prefer(pid: int) -> None:
    """Let a process, the leader of a session, go before others: it pours in real time, whatever else the
    computer does.

    Only root may ask for that. Without it a computer with nothing to spare holds a pour, as it should. Where
    the kernel groups processes by session (sched(7), autogroup), niceness counts within a session alone.
    """
    with suppress(PermissionError):
        os.setpriority(os.PRIO_PROCESS, pid, NICE)
    with suppress(OSError):
        Path(f"/proc/{pid}/autogroup").write_text(str(NICE))


def waited(
    condition: Callable[[], Any], limit_s: float = READY_S, situation: Callable[[], str] = lambda: ""
) -> Any:
    """Poll until the answer is true, and return it; after the limit `situation` says what a person would look
    at."""
    end_s = time.monotonic() + limit_s
    while not (found := condition()):
        if time.monotonic() > end_s:
            raise TimeoutError(f"the condition did not hold within {limit_s} s; {situation()}")
        time.sleep(POLL_S)
    return found


class Process:
    """A child process whose output is read line by line."""

    def __init__(self, program: str, args: list[str], env: dict[str, str] | None = None) -> None:
        self.child = subprocess.Popen(
            [sys.executable, "-c", f"from {program} import main; main()", *args],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, **(env or {})},
            start_new_session=True,
        )
        prefer(self.child.pid)
        self.lines: queue.Queue[str | None] = queue.Queue()
        self.errors: list[str] = []
        self._readers = [
            threading.Thread(target=self._read_lines, daemon=True),
            threading.Thread(target=self._read_errors, daemon=True),
        ]
        for reader in self._readers:
            reader.start()

    def _read_lines(self) -> None:
        stream = self.child.stdout
        if stream is not None:
            for line in stream:
                self.lines.put(line.rstrip("\n"))
            stream.close()
        self.lines.put(None)

    def _read_errors(self) -> None:
        stream = self.child.stderr
        if stream is not None:
            for line in stream:
                self.errors.append(line.rstrip("\n"))
            stream.close()

    def first_line(self) -> str:
        """The first line on standard output."""
        line = self.lines.get(timeout=READY_S)
        if line is None:
            self.child.wait(READY_S)
            self._readers[1].join(READY_S)
            raise RuntimeError("ended before it was ready: " + " | ".join(self.errors[-5:]))
        return line

    def end(self, number: int = signal.SIGTERM) -> int:
        """Send a signal and wait for the end; returns the exit code."""
        if self.child.poll() is None:
            self.child.send_signal(number)
        code = self.child.wait(READY_S)
        for reader in self._readers:
            reader.join(READY_S)
        return code


class Stack:
    """One machine, simulated or emulated, and one daemon after another on one database.

    The machine has the TCP port `tcp` (HOST:PORT) or a pseudo-terminal under a link, since another process
    may get its number while it is unplugged.
    """

    def __init__(
        self,
        folder: Path,
        tcp: str | None = None,
        seed: int = 1,
        program: str = "tarewell_sim.cli",
    ) -> None:
        self.folder = folder
        port = ["--pty", "--link", str(folder / "board")] if tcp is None else ["--tcp", tcp]
        self.simulator = Process(
            program,
            ["run", *port, "--no-glass", "--seed", str(seed)],
            {"PYTHONPATH": os.pathsep.join([str(EMULATOR), *filter(None, [os.environ.get("PYTHONPATH")])])},
        )
        ready = json.loads(self.simulator.first_line())
        self.device: str = ready["device"]
        self.bench = ControlClient(ready["control"])
        self.daemon: Process | None = None
        self.api = httpx.Client()

    def start(self, **env: str) -> httpx.Client:
        """Start the daemon and wait for its link to the board."""
        self.daemon = Process(
            "tarewell.cli",
            ["serve"],
            {
                "TAREWELL_DEVICE": self.device,
                "TAREWELL_DATABASE": str(self.folder / "tarewell.sqlite"),
                "TAREWELL_PORT": "0",
                "TAREWELL_MACHINE_ID": "interval-bar",
                **env,
            },
        )
        url = next(word for word in self.daemon.first_line().split() if word.startswith("http"))
        self.api.close()
        self.api = httpx.Client(base_url=f"{url}/v1", timeout=60.0)
        self.wait(lambda: self.api.get("/machine").json()["link"]["state"] == "open")
        return self.api

    def stop(self, number: int = signal.SIGTERM) -> int:
        """End the daemon; returns its exit code."""
        return self.daemon.end(number) if self.daemon else 0

    def close(self) -> None:
        """End everything."""
        self.stop()
        self.api.close()
        self.bench.close()
        self.simulator.end()

    def wait(self, condition: Callable[[], Any], limit_s: float = READY_S) -> Any:
        """Poll until the answer is true, and return it. The limit suits a machine under load."""
        return waited(condition, limit_s, self._situation)

    def _situation(self) -> str:
        """What a person would look at first when nothing goes on."""
        seen: list[Any] = self.daemon.errors[-5:] if self.daemon else []
        with suppress(httpx.HTTPError):
            seen += [self.api.get("/machine").json(), self.api.get("/pours", params={"limit": 1}).json()]
        return f"daemon: {seen}, bench: {self.bench.truth()}"

    def set_up(self) -> None:
        """Calibrate with 500 g, and assign the theatre bar's liquids to the channels."""

        def at_rest(path: str, body: Callable[[], Any]) -> Any:
            return self.wait(
                lambda: (answer := self.api.post(path, json=body())).status_code < 300 and answer
            )

        empty = at_rest("/scale/calibration/empty", lambda: None).json()["empty_counts"]
        self.bench.call("place_glass", mass_g=500.0)
        at_rest("/scale/calibration", lambda: {"empty_counts": empty, "reference_g": 500.0})
        self.bench.call("lift_glass")
        for number, (liquid_id, name, density, strength) in LIQUIDS.items():
            body = {"name": name, "density_g_per_ml": density, "abv_percent": strength}
            self.api.put(f"/liquids/{liquid_id}", json=body).raise_for_status()
            self.api.put(
                f"/channels/{number}", json={"liquid_id": liquid_id, "name": name}
            ).raise_for_status()
        self.wait(lambda: self.api.get("/ready").status_code == 200)

    def clear(self) -> None:
        """Start the daemon if it has ended, stop what is under way, and empty the platform."""
        if self.daemon is None or self.daemon.child.poll() is not None:
            self.start()
        machine = self.api.get("/machine").json()
        for under_way in (machine["round"], machine["pour"]):
            if under_way is not None:
                self.api.post(under_way.removeprefix("/v1") + "/stop")
        if self.bench.truth()["glass_present"]:
            self.bench.call("lift_glass")
        self.wait(lambda: (now := self.api.get("/machine").json())["pour"] is None and now["round"] is None)
        self.wait(lambda: self.api.get("/ready").status_code == 200)

    def pour(self, *doses: dict[str, float], key: str | None = None) -> dict[str, Any]:
        """Request a pour from the empty platform and bring a fresh glass; returns the record at its start."""
        if self.bench.truth()["glass_present"]:
            self.bench.call("lift_glass")
        headers = {"Idempotency-Key": key} if key else {}

        def begun() -> dict[str, Any] | None:
            answer = self.api.post("/pours", json={"doses": list(doses)}, headers=headers)
            if "still be on the platform" in answer.text:
                return None
            answer.raise_for_status()
            body: dict[str, Any] = answer.json()
            return body

        record: dict[str, Any] = self.wait(begun)
        self.bench.call("place_glass")
        return record

    def restarted_if_late(self, pour_id: str) -> dict[str, Any]:
        """The present record of a pour. If a computer with nothing to spare has held it, it is restarted."""
        record = self.read(pour_id)
        alarm = (record["progress"] or {}).get("alarm")
        if record["state"] == "held" and alarm is not None and alarm["name"] in LATE_ALARMS:
            now = self.api.get("/machine").json()
            held = now["round"] or now["pour"]
            if held is not None:
                self.api.post(held.removeprefix("/v1") + "/restart")
        return record

    def read(self, pour_id: str) -> dict[str, Any]:
        """The present record of a pour."""
        body: dict[str, Any] = self.api.get(f"/pours/{pour_id}").json()
        return body

    def command(self, *args: str, code: int = 0) -> str:
        """Run a command of the command line against the daemon; returns its output, which may be JSON."""
        ran = subprocess.run(
            [sys.executable, "-m", "tarewell", *args],
            env={**os.environ, "TAREWELL_URL": str(self.api.base_url).removesuffix("/v1/")},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=READY_S,
            check=False,
        )
        assert ran.returncode == code, ran.stdout + ran.stderr
        return ran.stdout + ran.stderr

    def finished(self, pour_id: str, limit_s: float = 60.0) -> dict[str, Any]:
        """Wait for the end of a pour; returns its record."""
        terminal = {"complete", "stopped", "aborted", "interrupted"}
        found: dict[str, Any] = self.wait(
            lambda: (record := self.restarted_if_late(pour_id))["state"] in terminal and record, limit_s
        )
        return found


def stacks(folder: Path, **options: Any) -> Iterator[Stack]:
    """A stack that is always closed."""
    stack = Stack(folder, **options)
    try:
        yield stack
    finally:
        stack.close()


def check_a_two_channel_drink(stack: Stack) -> str:
    """Pour 20 ml of spirit and 30 g of water; records and physics must agree. Returns the pour's id."""
    before = stack.bench.truth()["delivered_g"]
    begun = stack.pour({"channel": 2, "amount_ml": 20}, {"channel": 1, "amount_g": 30})
    record = stack.finished(begun["id"])
    after = stack.bench.truth()["delivered_g"]
    assert record["state"] == "complete"
    spirit, water = record["doses"]
    assert spirit["target_g"] == pytest.approx(20 * 0.948, abs=0.01)
    for dose, channel in ((spirit, 2), (water, 1)):
        assert dose["verdict"] == "within"
        assert dose["delivered_g"] == pytest.approx(after[channel] - before[channel], abs=0.6)
        assert dose["delivered_g"] == pytest.approx(dose["target_g"], abs=1.0)
    return str(begun["id"])
