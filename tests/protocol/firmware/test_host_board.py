"""The firmware's second port: the same main loop as a program of this computer, behind a pseudo-terminal."""

import os
import select
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from firmware_host import make, out_folder, require
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_from_board, encode_request
from tarewell_protocol.framing import BOARD_LINE_MAX, LineReader

LIMIT_S = 10.0
FAR = 2_000_000


class TerminalHost:
    """What a host hears of a board at a terminal."""

    def __init__(self, terminal: str) -> None:
        self._line = os.open(terminal, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        self._reader = LineReader(BOARD_LINE_MAX)
        self.messages: list[m.FromBoard] = []

    def close(self) -> None:
        os.close(self._line)

    def ask(self, seq: int, command: m.Command) -> m.ReplyBody:
        os.write(self._line, encode_request(m.Request(seq, command)))
        found = self.hear(lambda said: isinstance(said, m.Reply) and said.seq == seq)
        assert isinstance(found, m.Reply)
        return found.body

    def hear(self, wanted: Callable[[m.FromBoard], bool]) -> m.FromBoard:
        """The first message of that kind that is heard from now on."""
        ends = time.monotonic() + LIMIT_S
        while time.monotonic() < ends:
            if not select.select([self._line], [], [], 1.0)[0]:
                continue
            said = [decode_from_board(body) for body in self._reader.feed(os.read(self._line, 4096))]
            new = [found for found in said if found is not None]
            self.messages += new
            for found in new:
                if wanted(found):
                    return found
        pytest.fail(f"not heard in {LIMIT_S} s")


Start = Callable[[], TerminalHost]


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """Starts the board, again if it was started before; its emergency stop is kept in a file."""
    require("make", "cc")
    folder = out_folder("firmware")
    make("host-board", OUT=str(folder))
    running: list[tuple[subprocess.Popen[str], TerminalHost]] = []

    def stop() -> None:
        for program, host in running:
            host.close()
            program.kill()
            program.communicate()
        running.clear()

    def begin() -> TerminalHost:
        stop()
        command = [str(folder / "host-board"), str(tmp_path / "board"), str(tmp_path / "latch")]
        program = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert program.stdout
        assert program.stdout.readline().startswith("/dev/")
        host = TerminalHost(str(tmp_path / "board"))
        running.append((program, host))
        return host

    yield begin
    stop()


def is_event(body: type[m.EventBody]) -> Callable[[m.FromBoard], bool]:
    return lambda said: isinstance(said, m.Event) and isinstance(said.body, body)


def test_it_pours_until_its_lease_ends(start: Start) -> None:
    host = start()
    assert isinstance(host.ask(1, m.Hello(1)), m.Identity)
    first = host.hear(lambda said: isinstance(said, m.Sample))
    run = m.Run(3, m.Direction.FORWARD, 255, 300, FAR, 5000, number=7)
    assert host.ask(2, run) == m.Done()
    stopped = host.hear(is_event(m.Stopped))
    assert isinstance(stopped, m.Event)
    assert isinstance(stopped.body, m.Stopped)
    assert (stopped.body.run, stopped.body.channel, stopped.body.cause) == (7, 3, m.StopCause.LEASE)
    assert stopped.body.ran_ms >= 290
    last = host.hear(lambda said: isinstance(said, m.Sample))
    assert isinstance(first, m.Sample)
    assert isinstance(last, m.Sample)
    assert last.counts - first.counts > 1000


def test_its_emergency_stop_outlives_it(start: Start) -> None:
    host = start()
    assert isinstance(host.ask(1, m.Hello(1)), m.Identity)
    assert host.ask(2, m.EmergencyStop()) == m.Done()
    host.hear(lambda said: isinstance(said, m.Sample) and said.latched)
    again = start()
    boot = again.hear(is_event(m.Booted))
    assert isinstance(boot, m.Event)
    assert boot.body == m.Booted(m.ResetCause.POWER, latched=True)
    assert isinstance(again.ask(1, m.Hello(2)), m.Identity)
    assert again.ask(2, m.ReleaseEmergencyStop()) == m.Done()
