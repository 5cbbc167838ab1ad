"""One direction of the serial wire, with transmission time and optional faults."""

from collections import deque
from dataclasses import dataclass
from math import inf
from random import Random

_BITS_PER_BYTE = 10  # start, eight data, stop


@dataclass(frozen=True, slots=True)
class WireFaults:
    """Faults of a wire: chances of 0 to 1, and a delay."""

    byte_error_rate: float = 0.0
    """Chance of each byte to have one bit flipped."""
    lose: float = 0.0
    """Chance of each line to vanish."""
    duplicate: float = 0.0
    """Chance of each line to arrive twice."""
    delay_s: float = 0.0


class Wire:
    """Bytes in now, bytes out when their last bit has passed; lines end with a line feed."""

    def __init__(self, baud: float, rng: Random) -> None:
        self.faults = WireFaults()
        self.plugged = True
        self._byte_s = _BITS_PER_BYTE / baud
        self._rng = rng
        self._free_s = 0.0
        self._carried: deque[tuple[float, bytes]] = deque()
        self._line = bytearray()
        self._fate = ""

    @property
    def next_s(self) -> float:
        """When the next bytes arrive; infinity when none are on the way."""
        return self._carried[0][0] if self._carried else inf

    def push(self, data: bytes, now_s: float) -> None:
        """Send bytes."""
        if not self.plugged or not data:
            return
        if self.faults.lose or self.faults.duplicate or self._fate:
            data = self._decide(data)
        if self.faults.byte_error_rate:
            data = bytes(self._flip(byte) for byte in data)
        if data:
            self._free_s = max(self._free_s, now_s) + len(data) * self._byte_s
            self._carried.append((self._free_s + self.faults.delay_s, data))

    def pop(self, now_s: float) -> bytes:
        """The bytes that have arrived since the last call."""
        if not self._carried or self._carried[0][0] > now_s:
            return b""
        arrived = bytearray()
        while self._carried and self._carried[0][0] <= now_s:
            arrived += self._carried.popleft()[1]
        return bytes(arrived)

    def plug(self, plugged: bool) -> None:
        """Plug or unplug the connector; bytes in transit are lost."""
        self.plugged = plugged
        self._carried.clear()
        self._line.clear()
        self._fate = ""

    def _decide(self, data: bytes) -> bytes:
        """Lose or repeat whole lines, however they are split; decided at the first byte."""
        out = bytearray()
        for piece in data.splitlines(keepends=True):
            if not self._fate:
                draw = self._rng.random()
                lost = draw < self.faults.lose
                twice = not lost and draw < self.faults.lose + self.faults.duplicate
                self._fate = "lost" if lost else "twice" if twice else "whole"
            if self._fate != "lost":
                out += piece
                self._line += piece
            if piece.endswith(b"\n"):
                if self._fate == "twice":
                    out += self._line
                self._line.clear()
                self._fate = ""
        return bytes(out)

    def _flip(self, byte: int) -> int:
        if self._rng.random() < self.faults.byte_error_rate:
            return byte ^ (1 << self._rng.randrange(8))
        return byte
