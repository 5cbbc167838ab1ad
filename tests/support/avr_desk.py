"""For tests of the emulated board: its tools, or a reason to skip, and a host that keeps a log."""

import os
from random import Random

import pytest

from tarewell_avr.building import missing
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_from_board, encode_request
from tarewell_protocol.framing import BOARD_LINE_MAX, LineReader

REVERSAL_S = 0.1
"""No pump runs in the other direction for so long after the last one."""
_BITS_PER_BYTE = 10


def require_avr() -> None:
    """Skip the calling module where the emulator's tools are missing; fail if they are required."""
    if lacking := missing():
        if os.environ.get("TAREWELL_REQUIRE_AVR") == "1":
            pytest.fail(lacking, pytrace=False)
        pytest.skip(lacking, allow_module_level=True)


class AvrDesk:
    """A host without a session, which knows when the board has received each request."""

    def __init__(self, machine: EmulatedMachine, random: Random) -> None:
        self.machine = machine
        self.random = random
        self.byte_s = _BITS_PER_BYTE / machine.scenario.board.baud
        self.messages: list[m.FromBoard] = []
        self._reader = LineReader(BOARD_LINE_MAX)
        self._free_s = 0.0
        self._seq = 0

    @property
    def now_s(self) -> float:
        """The machine's time."""
        return self.machine.now_s

    def open(self) -> m.Identity:
        """Open a new session, and wait until a pump may run in any direction."""
        self._reader = LineReader(BOARD_LINE_MAX)
        self.write(b"\n")  # ends a line that an earlier host left unfinished
        self.ask(m.Hello(self.random.randrange(1 << 16)))
        self.pass_s(0.03 + REVERSAL_S)
        return next(found.body for found in reversed(self.replies()) if isinstance(found.body, m.Identity))

    def write(self, data: bytes) -> float:
        """Send bytes; returns when the last will have arrived."""
        self.machine.write(data)
        self._free_s = max(self._free_s, self.now_s) + len(data) * self.byte_s
        return self._free_s

    def ask(self, command: m.Command) -> float:
        """Send a request; returns when its line feed will have arrived."""
        self._seq = (self._seq + 1) % 256
        return self.write(encode_request(m.Request(self._seq, command)))

    def pass_s(self, seconds: float) -> None:
        """Let time pass and listen."""
        self.machine.advance(seconds)
        for body in self._reader.feed(self.machine.read()):
            found = decode_from_board(body)
            if found is None:
                raise ValueError(f"no board message: {body!r}")
            self.messages.append(found)

    def replies(self) -> list[m.Reply]:
        """Replies heard."""
        return [found for found in self.messages if isinstance(found, m.Reply)]

    def answer(self) -> m.ReplyBody:
        """The last reply's body."""
        return self.replies()[-1].body

    def events(self) -> list[m.EventBody]:
        """Events heard."""
        return [found.body for found in self.messages if isinstance(found, m.Event)]

    def start(
        self,
        channel: int,
        lease_ms: int,
        speed: int = 255,
        ceiling_counts: int = 2_000_000,
        max_ms: int = 60_000,
    ) -> float:
        """Run a pump, by default far from all limits; returns when the request will have arrived."""
        direction = self.random.choice(list(m.Direction))
        received_s = self.ask(m.Run(channel, direction, speed, lease_ms, ceiling_counts, max_ms))
        self.pass_s(received_s - self.now_s + 0.01)
        return received_s

    def keep_up(self, seconds: float, lease_ms: int, received_s: float) -> float:
        """Renew the lease every 60 to 140 ms for a while; returns when the last renewal has arrived."""
        end_s = self.now_s + seconds
        while self.now_s < end_s:
            received_s = self.ask(m.Keep(0, lease_ms))
            self.pass_s(
                max(received_s - self.now_s, min(end_s - self.now_s, self.random.uniform(0.06, 0.14)))
            )
        return received_s
