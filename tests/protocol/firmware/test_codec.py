"""The firmware reads and writes as the golden frames and the Python codec do."""

import pytest
from crccheck.crc import Crc16Ibm3740
from hypothesis import given
from hypothesis import strategies as st

from firmware_host import HostBoard, library, read_request, say
from golden import COMMANDS, Case, parametrized, read_cases
from tarewell_protocol import messages as m
from tarewell_protocol.codec import (
    decode_command,
    decode_from_board,
    encode_from_board,
    encode_request,
    request_seq,
)
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader, encode_frame
from wire_strategies import FRAME_CHARACTERS, FROM_BOARD, REQUEST


def golden(path: str) -> pytest.MarkDecorator:
    """All cases but those that no board of this version writes."""
    read = [
        case for case in read_cases(path) if "decode_only" not in case and case.get("kind") != "other_version"
    ]
    return parametrized(read)


def stats(board: HostBoard) -> m.BoardStats:
    """Asked under a number that no golden frame uses."""
    board.receive(encode_request(m.Request(0xEE, m.AskStats())), 10)
    (*_, body) = LineReader(96).feed(board.output())
    reply = decode_from_board(body)
    assert isinstance(reply, m.Reply)
    assert isinstance(reply.body, m.BoardStats)
    return reply.body


def open_board() -> HostBoard:
    board = HostBoard()
    board.receive(encode_request(m.Request(0xED, m.Hello(0x4242))), 0)
    board.output()
    return board


@golden("valid/host_to_board.txt")
def test_a_valid_request_means_what_the_golden_frame_says(case: Case) -> None:
    body = case["wire"].rpartition("*")[0]
    seq, command = request_seq(body), decode_command(body)
    assert read_request(body) == (seq, command)
    assert not isinstance(command, m.Refusal)


@golden("valid/host_to_board.txt")
def test_a_valid_request_is_answered_once_with_its_number(case: Case) -> None:
    board = open_board()
    board.receive(case["wire"].encode("ascii") + b"\n", 1)
    (body,) = LineReader(96).feed(board.output())
    reply = decode_from_board(body)
    assert isinstance(reply, m.Reply)
    assert reply.seq == int(case["seq"])


@golden("valid/board_to_host.txt")
def test_the_firmware_writes_the_golden_frame(case: Case) -> None:
    message = decode_from_board(case["wire"].rpartition("*")[0])
    assert message is not None
    assert say(message) == case["wire"].encode("ascii") + b"\n"


@golden("invalid/host_to_board.txt")
def test_invalid_bytes_are_counted_and_change_nothing(case: Case) -> None:
    board = open_board()
    before = stats(board)
    data = bytes.fromhex(case["bytes"])
    board.receive(data, 1)
    answers = board.output()
    if case["outcome"] == "refused":
        assert answers == case["answer"].encode("ascii") + b"\n"
        return
    assert len(answers.splitlines()) == ("good" in case)
    if case["outcome"] == "incomplete":
        return
    kinds = ("bad_crc", "overlong", "malformed")
    counted: dict[str, int] = {key: int(case[key]) for key in kinds if key in case}
    counted = counted or {case["outcome"]: 1}
    bad = sum(count for key, count in counted.items() if key != "overlong")
    if not data.endswith(b"\n"):  # ends what is left, so that it can be asked: a line that was no frame
        board.receive(b"\n", 1)
        bad += case["outcome"] != "overlong"
    after = stats(board)
    assert after.bad_crc - before.bad_crc == bad
    assert after.overlong - before.overlong == counted.get("overlong", 0)


def test_crc_has_the_check_value_of_the_catalogue() -> None:
    """CRC-16/IBM-3740, 0x29B1 over 123456789, computed with crccheck 1.3.1 and crcmod 1.7."""
    assert library().tw_host_crc(b"123456789", 9) == 0x29B1


@given(st.binary(max_size=100))
def test_crc_equals_that_of_the_crccheck_package(data: bytes) -> None:
    assert library().tw_host_crc(data, len(data)) == Crc16Ibm3740.calc(data)


@given(FROM_BOARD)
def test_every_message_is_written_as_python_writes_it(message: m.FromBoard) -> None:
    if isinstance(message, m.Reply) and isinstance(message.body, m.OtherVersion):
        return
    assert say(message) == encode_from_board(message)


@given(REQUEST)
def test_every_request_is_understood(request: m.Request) -> None:
    body = encode_request(request).rpartition(b"*")[0].decode("ascii")
    assert read_request(body) == (request.seq, request.command)


FIELD = st.one_of(
    st.integers(-(10**10), 10**10).map(str),
    st.sampled_from(
        ["0", "1", "8", "9", "255", "256", "65535", "65536", "999999", "1000000", "-0", "00", "01", "+1"]
    ),
    st.sampled_from(
        ["f", "r", "a0", "b-1", "a8388607", "a8388608", "b-8388608", "b-8388609", "a-0", "a", "all", "al"]
    ),
    st.sampled_from(["A3F2", "a3f2", "A3F", "A3F20", "", " "]),
    st.text(FRAME_CHARACTERS, max_size=6),
)
VERB = st.sampled_from([*COMMANDS, "", "stopp", "sto"])
NEARLY = st.builds(
    lambda head, verb, fields: " ".join([head, verb, *fields]),
    st.sampled_from([">00", ">FF", ">0a", ">0", "<00", ">000", ">"]),
    VERB,
    st.lists(FIELD, max_size=7),
)
BODY = st.one_of(NEARLY, st.text(FRAME_CHARACTERS, min_size=1)).map(lambda body: body[: HOST_LINE_MAX - 6])


@given(BODY)
def test_what_is_nearly_a_request_is_judged_as_python_judges_it(body: str) -> None:
    command, seq = decode_command(body), request_seq(body)
    expected = None if command is None or seq is None else (seq, command)
    assert read_request(body) == expected


PIECE = st.one_of(
    st.binary(max_size=70),
    BODY.filter(bool).map(lambda body: encode_frame(body, HOST_LINE_MAX)),
    st.sampled_from([b"\n", b"*", b"U" * 62, b"U" * 63 + b"\n", b">00 stats*ABCD\n"]),
)


@given(st.lists(PIECE, max_size=8).map(b"".join))
def test_any_bytes_are_cut_and_counted_as_python_does(data: bytes) -> None:
    board = HostBoard()
    board.output()
    reader = LineReader(HOST_LINE_MAX)
    bodies = list(reader.feed(data + b"\n"))
    taken = [body for body in bodies if decode_command(body) is not None]
    for byte in data + b"\n":
        board.receive(bytes([byte]), 1)
        board.output()
    counted = stats_outside_a_session(board)
    noise = reader.noise
    assert counted == (len(taken), noise.bad_crc + noise.malformed + len(bodies) - len(taken), noise.overlong)


def stats_outside_a_session(board: HostBoard) -> tuple[int, int, int]:
    """Frames, bad CRC and overlong without the two frames that ask for them."""
    board.receive(encode_request(m.Request(0xED, m.Hello(0x4243))), 5)
    board.output()
    found = stats(board)
    return found.frames - 2, found.bad_crc, found.overlong
