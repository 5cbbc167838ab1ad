"""Lines on the wire: a printable body, an asterisk, four hex digits of CRC, a line feed.

Any other line is counted and dropped; reading never raises.
"""

from binascii import crc_hqx
from dataclasses import dataclass

HOST_LINE_MAX = 63
"""Longest host-to-board line in bytes, line feed included (small boards have a 64-byte receive buffer)."""

BOARD_LINE_MAX = 96
"""Longest board-to-host line in bytes, line feed included."""

_TAIL = 6  # "*", four digits, line feed
_HEX = frozenset(b"0123456789ABCDEF")


class FrameError(ValueError):
    """A body that no frame can carry: too long, empty, or with a character outside the alphabet."""


@dataclass(slots=True)
class Noise:
    """Counts of dropped lines: wrong CRC, too long, or malformed.

    The decoder of the bodies adds invalid messages to `malformed`.
    """

    bad_crc: int = 0
    overlong: int = 0
    malformed: int = 0

    @property
    def total(self) -> int:
        """All dropped lines."""
        return self.bad_crc + self.overlong + self.malformed


def crc16(data: bytes) -> int:
    """CRC-16/IBM-3740, also called CCITT-FALSE: polynomial 0x1021, start 0xFFFF, no reflection, no final xor.

    The check value of the CRC catalogue for b"123456789" is 0x29B1.
    """
    return crc_hqx(data, 0xFFFF)


def encode_frame(body: str, line_max: int) -> bytes:
    """Wrap `body` as one line.

    Raises:
        FrameError: the body is empty, does not fit `line_max` bytes, or holds a character other than
            printable ASCII without the asterisk.
    """
    if not body or not body.isascii() or not body.isprintable() or "*" in body:
        raise FrameError(f"a frame body must be printable ASCII without '*', got {body!r}")
    data = body.encode("ascii")
    if len(data) + _TAIL > line_max:
        raise FrameError(f"a line holds {line_max} bytes, this one has {len(data) + _TAIL}: {body!r}")
    return b"%b*%04X\n" % (data, crc16(data))


def decode_line(line: bytes, noise: Noise) -> str | None:
    """The body of one line (without its line feed), or None for an invalid one, which is counted."""
    if len(line) < _TAIL or line[-5] != 0x2A or not _HEX.issuperset(line[-4:]):
        noise.malformed += 1
        return None
    body = line[:-5]
    if int(line[-4:], 16) != crc16(body):
        noise.bad_crc += 1
        return None
    text = body.decode("latin-1")
    if not text.isascii() or not text.isprintable() or "*" in text:
        noise.malformed += 1
        return None
    return text


class LineReader:
    """Splits a byte stream, arriving in pieces of any size, into frame bodies."""

    def __init__(self, line_max: int) -> None:
        self._line_max = line_max
        self._buffer = bytearray()
        self._skipping = False
        self.noise = Noise()

    def feed(self, data: bytes) -> list[str]:
        """The body of each intact line that `data` completes.

        A line longer than `line_max` is counted once and skipped up to its line feed; the buffer never
        holds more than one line.
        """
        bodies = []
        *ended, rest = data.split(b"\n")
        for piece in ended:
            self._append(piece)
            if not self._skipping and (body := decode_line(bytes(self._buffer), self.noise)) is not None:
                bodies.append(body)
            self._buffer.clear()
            self._skipping = False
        self._append(rest)
        return bodies

    def _append(self, piece: bytes) -> None:
        if self._skipping:
            return
        if len(self._buffer) + len(piece) >= self._line_max:  # the line feed would no longer fit
            self.noise.overlong += 1
            self._skipping = True
            self._buffer.clear()
        else:
            self._buffer += piece
