"""Lines, their checksum, and what a reader makes of a damaged stream."""

import pytest
from crccheck.crc import Crc16Ibm3740
from hypothesis import example, given
from hypothesis import strategies as st

from tarewell_protocol.framing import (
    BOARD_LINE_MAX,
    HOST_LINE_MAX,
    FrameError,
    LineReader,
    Noise,
    crc16,
    decode_line,
    encode_frame,
)
from wire_strategies import FRAME_CHARACTERS

BODY = st.text(FRAME_CHARACTERS, min_size=1, max_size=HOST_LINE_MAX - 6)
STREAM = st.lists(
    st.one_of(
        st.binary(max_size=40),
        st.sampled_from([b"\n", b"*", b"*FFFF\n", b"U" * 62, b"U" * 63 + b"\n"]),
        BODY.map(lambda body: encode_frame(body, HOST_LINE_MAX)),
    ),
    max_size=12,
).map(b"".join)


def test_crc_has_the_check_value_of_the_catalogue() -> None:
    """CRC-16/IBM-3740, RevEng catalogue's name; 0x29B1 computed with crccheck 1.3.1 and crcmod 1.7."""
    assert crc16(b"123456789") == 0x29B1


@given(st.binary(max_size=200))
def test_crc_equals_that_of_the_crccheck_package(data: bytes) -> None:
    assert crc16(data) == Crc16Ibm3740.calc(data)


@given(BODY)
def test_a_frame_reads_back(body: str) -> None:
    reader = LineReader(HOST_LINE_MAX)
    assert list(reader.feed(encode_frame(body, HOST_LINE_MAX))) == [body]
    assert reader.noise == Noise()


@pytest.mark.parametrize("line_max", [HOST_LINE_MAX, BOARD_LINE_MAX])
def test_a_line_of_the_greatest_length_passes_and_one_more_byte_does_not(line_max: int) -> None:
    longest = "x" * (line_max - 6)
    line = encode_frame(longest, line_max)
    assert len(line) == line_max
    assert list(LineReader(line_max).feed(line)) == [longest]
    with pytest.raises(FrameError, match=f"{line_max} bytes, this one has {line_max + 1}"):
        encode_frame(longest + "x", line_max)


@pytest.mark.parametrize("body", ["", "a*b", "a\nb", "caf\u00e9", "a\tb", "\x7f"])
def test_a_body_outside_the_alphabet_is_refused(body: str) -> None:
    with pytest.raises(FrameError, match="printable ASCII"):
        encode_frame(body, HOST_LINE_MAX)


@given(STREAM, st.data())
def test_frames_and_noise_do_not_depend_on_how_the_stream_is_cut(stream: bytes, data: st.DataObject) -> None:
    cuts = sorted(data.draw(st.lists(st.integers(0, len(stream)), max_size=20)))
    whole, cut, single = (LineReader(HOST_LINE_MAX) for _ in range(3))
    expected = list(whole.feed(stream))
    pieces = [stream[a:b] for a, b in zip([0, *cuts], [*cuts, len(stream)], strict=True)]
    assert [body for piece in pieces for body in cut.feed(piece)] == expected
    assert [body for byte in stream for body in single.feed(bytes([byte]))] == expected
    assert whole.noise == cut.noise == single.noise


@given(STREAM)
def test_every_line_is_delivered_or_counted_once(stream: bytes) -> None:
    reader = LineReader(HOST_LINE_MAX)
    delivered = len(list(reader.feed(stream + b"\n")))
    assert delivered + reader.noise.total == stream.count(b"\n") + 1


@given(st.binary(max_size=120))
@example(b"*" * 10)
@example(b"\xff*FFFF")
def test_arbitrary_bytes_never_raise(data: bytes) -> None:
    noise = Noise()
    body = decode_line(data, noise)
    assert (body is None) == (noise.total == 1)


def test_a_stream_without_line_feeds_takes_no_memory_and_counts_once() -> None:
    reader = LineReader(BOARD_LINE_MAX)
    for _ in range(1000):
        assert list(reader.feed(b"x" * 997)) == []
        assert len(reader._buffer) < BOARD_LINE_MAX
    assert reader.noise == Noise(overlong=1)
    assert list(reader.feed(b"\n" + encode_frame("<00 ok", BOARD_LINE_MAX))) == ["<00 ok"]
    assert reader.noise == Noise(overlong=1)


def test_what_was_fed_is_taken_even_if_the_caller_uses_nothing_of_it() -> None:
    reader = LineReader(BOARD_LINE_MAX)
    reader.feed(b"bad\n" + encode_frame("<00 ok", BOARD_LINE_MAX) + b"<01")
    assert reader.noise == Noise(malformed=1)
    rest = encode_frame("<01 ok", BOARD_LINE_MAX).removeprefix(b"<01")
    assert list(reader.feed(rest)) == ["<01 ok"]


# Detection power, used in protocol/DESIGN.md. The CRC is linear, so whether an error goes unseen depends on
# the flipped bits alone and not on the body: with a body of n bytes, flipping bit p changes the CRC by
# x^(p + 16) modulo the polynomial, p counted from the end of the body.

LONGEST_BODY_BITS = (BOARD_LINE_MAX - 6) * 8


def changes_of_the_crc() -> list[int]:
    """What each single flipped bit of the longest body does to the CRC, measured with crccheck."""
    body = bytearray(LONGEST_BODY_BITS // 8)
    clean = Crc16Ibm3740.calc(body)
    changes = []
    for bit in range(LONGEST_BODY_BITS):
        body[bit // 8] ^= 1 << bit % 8
        changes.append(Crc16Ibm3740.calc(body) ^ clean)
        body[bit // 8] ^= 1 << bit % 8
    return changes


def test_one_or_two_flipped_bits_of_a_body_always_change_the_crc() -> None:
    changes = changes_of_the_crc()
    assert 0 not in changes
    assert len(set(changes)) == LONGEST_BODY_BITS


def test_three_flipped_bits_of_a_body_always_change_the_crc() -> None:
    """The polynomial has an even number of terms, so each single bit changes an odd number of CRC bits."""
    assert all(change.bit_count() % 2 == 1 for change in changes_of_the_crc())


def test_one_flipped_bit_of_a_body_is_never_hidden_by_one_flipped_bit_of_a_crc_digit() -> None:
    """A flipped bit of a hexadecimal digit may change several bits of the number, but only that digit's."""
    for change in changes_of_the_crc():
        digits = f"{change:04X}"
        assert sum(digit != "0" for digit in digits) >= 2, digits
