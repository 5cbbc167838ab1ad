"""The golden frames of protocol/vectors, read as its README says."""

from collections.abc import Callable
from pathlib import Path

import pytest
from crccheck.crc import Crc16Ibm3740

from tarewell_protocol import messages as m
from tarewell_protocol.codec import (
    decode_command,
    decode_from_board,
    encode_from_board,
    encode_request,
    request_seq,
)
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader

VECTORS = Path(__file__).parents[2] / "protocol" / "vectors"
Case = dict[str, str]


def read_cases(path: Path) -> list[Case]:
    cases: list[Case] = []
    for line in path.read_bytes().decode("ascii").split("\n"):
        if line.startswith("#") or not line:
            continue
        key, equals, value = line.partition("=")
        assert equals, f"{path.name}: neither key=value nor a comment: {line!r}"
        if key == "case":
            cases.append({})
        assert key not in cases[-1], f"{path.name}: {key} twice in case {cases[-1]['case']!r}"
        cases[-1][key] = value
    return cases


def parameters(path: str) -> pytest.MarkDecorator:
    cases = read_cases(VECTORS / path)
    assert cases
    return pytest.mark.parametrize("case", cases, ids=[case["case"] for case in cases])


def _mask(case: Case) -> frozenset[int]:
    return frozenset(n for n in range(1, 9) if int(case["running_mask"]) & 1 << (n - 1))


def _or_none(text: str) -> str | None:
    return None if text == "-" else text


COMMANDS: dict[str, Callable[[Case], m.Command]] = {
    "hello": lambda c: m.Hello(int(c["nonce"]), int(c["protocol"])),
    "run": lambda c: m.Run(
        int(c["channel"]),
        m.Direction(c["direction"]),
        int(c["speed"]),
        int(c["lease_ms"]),
        int(c["ceiling_counts"]),
        int(c["max_ms"]),
        c["ceiling_above"] == "1",
    ),
    "keep": lambda c: m.Keep(int(c["lease_ms"])),
    "stop": lambda c: m.Stop(None if c["channel"] == "all" else int(c["channel"])),
    "estop": lambda c: m.EmergencyStop(),
    "clear": lambda c: m.Clear(),
    "show": lambda c: m.Show(int(c["line"]), c["text"].removeprefix('"').removesuffix('"')),
    "state": lambda c: m.AskState(),
    "stats": lambda c: m.AskStats(),
    "limits": lambda c: m.AskLimits(),
}

ANSWERS: dict[str, Callable[[Case], m.ReplyBody]] = {
    "ok": lambda c: m.Done(),
    "no": lambda c: m.Refused(m.Refusal(c["reason"])),
    "hello": lambda c: m.Identity(
        int(c["protocol"]),
        c["firmware"],
        c["board_id"],
        int(c["channels"]),
        int(c["sample_rate_hz"]),
        int(c["full_scale_counts"]),
        frozenset(c["abilities"].replace("-", "")),
        _or_none(c["display"]),
        m.ResetCause(c["cause"]),
    ),
    "other_version": lambda c: m.OtherVersion(int(c["protocol"]), c["firmware"]),
    "state": lambda c: m.BoardState(
        _mask(c),
        c["latched"] == "1",
        int(c["last_channel"]),
        None if c["last_cause"] == "-" else m.StopCause(c["last_cause"]),
        int(c["next_event"]),
    ),
    "stats": lambda c: m.BoardStats(
        int(c["frames"]),
        int(c["bad_crc"]),
        int(c["overlong"]),
        int(c["overruns"]),
        int(c["conversions_lost"]),
        int(c["conversions_late"]),
        int(c["saturated"]),
    ),
    "limits": lambda c: m.BoardLimits(
        int(c["lease_ms"]), int(c["run_ms"]), int(c["counts_min"]), int(c["counts_max"])
    ),
}

REPORTS: dict[str, Callable[[Case], m.EventBody]] = {
    "stopped": lambda c: m.Stopped(
        int(c["channel"]), m.StopCause(c["cause"]), int(c["board_ms"]), int(c["ran_ms"])
    ),
    "button": lambda c: m.Button(m.Press(c["press"]), int(c["board_ms"])),
    "knob": lambda c: m.Knob(int(c["steps"]), int(c["board_ms"])),
    "boot": lambda c: m.Booted(m.ResetCause(c["cause"])),
}


def from_board(case: Case) -> m.FromBoard:
    kind = case["kind"]
    if kind == "sample":
        return m.Sample(
            int(case["board_ms"]),
            int(case["count"]),
            int(case["counts"]),
            int(case["running_mask"]),
            case["saturated"] == "1",
            case["latched"] == "1",
            case["lost"] == "1",
        )
    if kind in ANSWERS:
        return m.Reply(int(case["seq"]), ANSWERS[kind](case))
    return m.Event(int(case["number"]), REPORTS[kind](case))


def assert_crc(wire: str) -> str:
    """Checks the CRC with the crccheck package and gives the body."""
    body, _, digits = wire.rpartition("*")
    assert f"{Crc16Ibm3740.calc(body.encode('ascii')):04X}" == digits
    return body


@parameters("valid/host_to_board.txt")
def test_a_valid_request_means_what_the_file_says(case: Case) -> None:
    body = assert_crc(case["wire"])
    command, seq = COMMANDS[case["kind"]](case), int(case["seq"])
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
    for case in read_cases(VECTORS / path):
        line = bytes.fromhex(case["bytes"]).removesuffix(b"\n")
        if case["outcome"] == "bad_crc" and "good" not in case:
            assert not _independent_crc_is_right(line), case["case"]
        if case["outcome"] in ("refused", "not_a_message") or "good CRC" in case["case"]:
            assert _independent_crc_is_right(line), case["case"]


def test_the_valid_files_hold_every_word_of_the_protocol() -> None:
    host = read_cases(VECTORS / "valid/host_to_board.txt")
    board = read_cases(VECTORS / "valid/board_to_host.txt")
    assert {case["kind"] for case in host} == set(COMMANDS)
    assert {case["kind"] for case in board} == {"sample", *ANSWERS, *REPORTS}
    assert {case["reason"] for case in board if case["kind"] == "no"} == set(m.Refusal)
    assert {case["cause"] for case in board if case["kind"] == "stopped"} == set(m.StopCause)
    assert {case["cause"] for case in board if case["kind"] == "boot"} == set(m.ResetCause)
    assert {case["press"] for case in board if case["kind"] == "button"} == set(m.Press)
    assert {case["direction"] for case in host if case["kind"] == "run"} == set(m.Direction)


def test_the_invalid_files_hold_every_outcome() -> None:
    host = {case["outcome"] for case in read_cases(VECTORS / "invalid/host_to_board.txt")}
    board = {case["outcome"] for case in read_cases(VECTORS / "invalid/board_to_host.txt")}
    assert host == {*NOISE, "not_a_message", "incomplete", "refused"}
    assert board == host - {"refused"}
