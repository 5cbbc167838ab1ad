"""Every message has one spelling, and no damaged line passes for another message."""

import re
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from golden import bodies
from tarewell_protocol import messages as m
from tarewell_protocol.codec import (
    decode_command,
    decode_from_board,
    encode_from_board,
    encode_request,
    request_seq,
)
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, FrameError, LineReader
from wire_strategies import FRAME_CHARACTERS, FROM_BOARD, REQUEST


def body_of(line: bytes) -> str:
    return line[:-6].decode("ascii")


@given(REQUEST)
def test_a_request_reads_back_and_fits_the_boards_buffer(request: m.Request) -> None:
    line = encode_request(request)
    assert len(line) <= HOST_LINE_MAX
    assert decode_command(body_of(line)) == request.command
    assert request_seq(body_of(line)) == request.seq


@given(FROM_BOARD)
def test_a_board_message_reads_back_and_fits_its_line(message: m.FromBoard) -> None:
    line = encode_from_board(message)
    assert len(line) <= BOARD_LINE_MAX
    assert decode_from_board(body_of(line)) == message


# Bodies near the valid ones: words and separators of the protocol in any order, and valid bodies with one
# character replaced, inserted or removed.

_SPELT = {
    word
    for path in ("valid/host_to_board.txt", "valid/board_to_host.txt")
    for body in bodies(path)
    for word in body.split(" ")[1:]
}
_MISSPELT = ("", "+1", "00", "01", "256", "65536", "-8388609", "a-0", "0a", "down up")
_WORDS = st.sampled_from(sorted({*_SPELT, *_MISSPELT}))
_SHUFFLED = st.builds(
    "{}{}".format,
    st.sampled_from([">00 ", ">FF ", "<00 ", "!00 ", "#", ">0 ", ""]),
    st.lists(_WORDS, max_size=8).map(" ".join),
)


@st.composite
def _edited(draw: st.DrawFn) -> str:
    line = draw(st.one_of(REQUEST.map(encode_request), FROM_BOARD.map(encode_from_board)))
    body = body_of(line)
    at = draw(st.integers(0, len(body)))
    gone = draw(st.integers(0, 1))
    return body[:at] + draw(st.sampled_from(["", *FRAME_CHARACTERS])) + body[at + gone :]


BODY = st.one_of(st.text(FRAME_CHARACTERS, min_size=1, max_size=90), _SHUFFLED, _edited())


@settings(max_examples=400)
@given(BODY)
def test_whatever_decodes_is_spelt_the_one_way(body: str) -> None:
    command, seq = decode_command(body), request_seq(body)
    if command is not None and not isinstance(command, m.Refusal):
        assert seq is not None
        assert body_of(encode_request(m.Request(seq, command))) == body
    message = decode_from_board(body)
    if isinstance(message, m.Reply) and isinstance(message.body, m.OtherVersion):
        assert body.startswith(
            body_of(encode_from_board(message))
        )  # what follows is another version's matter
    elif isinstance(message, m.Reply) and isinstance(message.body, m.Identity):
        *start, abilities, display, cause = body.split(" ")
        known = re.sub(f"[^{m.ABILITIES}-]", "", abilities) or "-"  # other letters are a later board's matter
        assert body_of(encode_from_board(message)) == " ".join([*start, known, display, cause])
    elif message is not None:
        assert body_of(encode_from_board(message)) == body


@given(st.text(max_size=100))
def test_any_text_decodes_to_something_or_nothing_without_raising(text: str) -> None:
    for body in (text, ">00 " + text, "<00 " + text, "!00 " + text, "#" + text, ">00 show 1 " + text):
        decode_command(body)
        decode_from_board(body)
        request_seq(body)


@pytest.mark.parametrize(
    "request_",
    [
        m.Request(256, m.Keep(0, 400)),
        m.Request(-1, m.Keep(0, 400)),
        m.Request(0, m.Hello(0x10000)),
        m.Request(0, m.Run(9, m.Direction.FORWARD, 255, 400, 0, 1000)),
        m.Request(0, m.Run(1, m.Direction.FORWARD, 0, 400, 0, 1000)),
        m.Request(0, m.Run(1, m.Direction.FORWARD, 255, 400, 2**23, 1000)),
        m.Request(0, m.Keep(0, 0)),
        m.Request(0, m.Stop(0)),
        m.Request(0, m.Show(4, "")),
        m.Request(0, m.Show(1, "more than 20 characters")),
        m.Request(0, m.Show(1, "5 * 20 ml")),
        m.Request(0, m.Show(1, "caf\u00e9")),
    ],
)
def test_what_the_specification_cannot_spell_is_not_written(request_: m.Request) -> None:
    with pytest.raises(FrameError):
        encode_request(request_)


# Damage. A flipped bit that makes a line feed splits the line; the second half can be a request only if it
# starts with '>', which a display text alone may hold. Such texts are left out here: only the CRC of the
# whole line, which the second half then carries, protects them.


def accepted(line: bytes, line_max: int) -> list[object]:
    decode = decode_command if line_max == HOST_LINE_MAX else decode_from_board
    read = [(request_seq(body), decode(body)) for body in LineReader(line_max).feed(line)]
    return [entry for entry in read if entry[1] is not None]


def _text_could_hold_a_request(request: m.Request) -> bool:
    return isinstance(request.command, m.Show) and ">" in request.command.text


@settings(max_examples=50)
@given(
    st.one_of(
        REQUEST.filter(lambda request: not _text_could_hold_a_request(request)).map(
            lambda request: (encode_request(request), HOST_LINE_MAX)
        ),
        FROM_BOARD.map(lambda message: (encode_from_board(message), BOARD_LINE_MAX)),
    )
)
def test_no_single_flipped_bit_yields_another_message(case: tuple[bytes, int]) -> None:
    line, line_max = case
    for bit in range(len(line) * 8):
        flipped = bytearray(line)
        flipped[bit // 8] ^= 1 << bit % 8
        assert accepted(bytes(flipped), line_max) == [], flipped


@pytest.mark.parametrize(
    ("line", "line_max"),
    [
        (encode_request(m.Request(2, m.Keep(0, 400))), HOST_LINE_MAX),
        (encode_request(m.Request(3, m.Stop())), HOST_LINE_MAX),
        (encode_from_board(m.Reply(2, m.Done())), BOARD_LINE_MAX),
        (encode_from_board(m.Event(1, m.Knob(-1, 7))), BOARD_LINE_MAX),
    ],
)
def test_no_two_flipped_bits_yield_another_message(line: bytes, line_max: int) -> None:
    for one, two in combinations(range(len(line) * 8), 2):
        flipped = bytearray(line)
        flipped[one // 8] ^= 1 << one % 8
        flipped[two // 8] ^= 1 << two % 8
        assert accepted(bytes(flipped), line_max) == [], flipped
