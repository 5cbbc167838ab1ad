"""The golden frames of protocol/vectors and the Python codec say the same."""

import pytest
from crccheck.crc import Crc16Ibm3740

from golden import ANSWERS, COMMANDS, REPORTS, Case, from_board, meaning, parametrized, read_cases
from tarewell_protocol import messages as m
from tarewell_protocol.codec import (
    decode_command,
    decode_from_board,
    encode_from_board,
    encode_request,
    request_seq,
)
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader


def parameters(path: str) -> pytest.MarkDecorator:
    return parametrized(read_cases(path))


def assert_crc(wire: str) -> str:
    """Checks the CRC with the crccheck package and gives the body."""
    body, _, digits = wire.rpartition("*")
    assert f"{Crc16Ibm3740.calc(body.encode('ascii')):04X}" == digits
    return body


@parameters("valid/host_to_board.txt")
def test_a_valid_request_means_what_the_file_says(case: Case) -> None:
    body = assert_crc(case["wire"])
    command, seq = meaning(COMMANDS[case["kind"]], case), int(case["seq"])
    reader = LineReader(HOST_LINE_MAX)
    assert list(reader.feed(case["wire"].encode("ascii") + b"\n")) == [body]
    assert (request_seq(body), decode_command(body)) == (seq, command)
    assert encode_request(m.Request(seq, command)) == case["wire"].encode("ascii") + b"\n"


@parameters("valid/board_to_host.txt")
def test_a_valid_board_message_means_what_the_file_says(case: Case) -> None:
    body = assert_crc(case["wire"])
    message = from_board(case)
    reader = LineReader(BOARD_LINE_MAX)
    assert list(reader.feed(case["wire"].encode("ascii") + b"\n")) == [body]
    assert decode_from_board(body) == message
    same = encode_from_board(message) == case["wire"].encode("ascii") + b"\n"
    assert same == ("decode_only" not in case)


NOISE = ("bad_crc", "overlong", "malformed")


def check_noise(case: Case, reader: LineReader, bodies: list[str]) -> None:
    counted = {key: int(case.get(key, "0")) for key in NOISE}
    if case["outcome"] in NOISE and not any(key in case for key in NOISE):
        counted[case["outcome"]] = 1
    assert {key: getattr(reader.noise, key) for key in NOISE} == counted
    if case["outcome"] in (*NOISE, "incomplete"):
        assert bodies == ([case["good"]] if "good" in case else [])
    else:
        assert len(bodies) == 1


@parameters("invalid/host_to_board.txt")
def test_bytes_that_carry_nothing_to_the_board(case: Case) -> None:
    assert case["from"] == "host"
    reader = LineReader(HOST_LINE_MAX)
    bodies = list(reader.feed(bytes.fromhex(case["bytes"])))
    check_noise(case, reader, bodies)
    match case["outcome"]:
        case "not_a_message":
            assert decode_command(bodies[0]) is None
        case "refused":
            refusal, seq = decode_command(bodies[0]), request_seq(bodies[0])
            assert isinstance(refusal, m.Refusal)
            assert refusal == case["reason"]
            assert seq is not None
            assert_crc(case["answer"])
            answer = encode_from_board(m.Reply(seq, m.Refused(refusal)))
            assert answer == case["answer"].encode("ascii") + b"\n"
        case outcome:
            assert outcome in (*NOISE, "incomplete")


@parameters("invalid/board_to_host.txt")
def test_bytes_that_say_nothing_to_the_host(case: Case) -> None:
    assert case["from"] == "board"
    reader = LineReader(BOARD_LINE_MAX)
    bodies = list(reader.feed(bytes.fromhex(case["bytes"])))
    check_noise(case, reader, bodies)
    if case["outcome"] == "not_a_message":
        assert decode_from_board(bodies[0]) is None
    else:
        assert case["outcome"] in (*NOISE, "incomplete")


def _independent_crc_is_right(line: bytes) -> bool:
    body, star, digits = line.rpartition(b"*")
    return bool(star) and b"%04X" % Crc16Ibm3740.calc(body) == digits


@pytest.mark.parametrize("path", ["invalid/host_to_board.txt", "invalid/board_to_host.txt"])
def test_the_crc_is_wrong_where_the_file_says_so_and_right_where_another_thing_is_wrong(path: str) -> None:
    for case in read_cases(path):
        line = bytes.fromhex(case["bytes"]).removesuffix(b"\n")
        if case["outcome"] == "bad_crc" and "good" not in case:
            assert not _independent_crc_is_right(line), case["case"]
        if case["outcome"] in ("refused", "not_a_message") or "good CRC" in case["case"]:
            assert _independent_crc_is_right(line), case["case"]


def test_the_valid_files_hold_every_word_of_the_protocol() -> None:
    host = read_cases("valid/host_to_board.txt")
    board = read_cases("valid/board_to_host.txt")
    assert {case["kind"] for case in host} == set(COMMANDS)
    assert {case["kind"] for case in board} == {"sample", *ANSWERS, *REPORTS}
    assert {case["reason"] for case in board if case["kind"] == "no"} == set(m.Refusal)
    assert {case["cause"] for case in board if case["kind"] == "stopped"} == set(m.StopCause)
    assert {case["cause"] for case in board if case["kind"] == "boot"} == set(m.ResetCause)
    assert {case["press"] for case in board if case["kind"] == "button"} == set(m.Press)
    assert {case["direction"] for case in host if case["kind"] == "run"} == set(m.Direction)


def test_the_invalid_files_hold_every_outcome() -> None:
    host = {case["outcome"] for case in read_cases("invalid/host_to_board.txt")}
    board = {case["outcome"] for case in read_cases("invalid/board_to_host.txt")}
    assert host == {*NOISE, "not_a_message", "incomplete", "refused"}
    assert board == host - {"refused"}
