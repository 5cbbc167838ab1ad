"""protocol/SPEC.md and the code say the same."""

import re
from enum import StrEnum
from pathlib import Path
from typing import Any, get_args

import pytest
from crccheck.crc import Crc16Ibm3740

from tarewell_protocol import messages as m
from tarewell_protocol import outbox, session
from tarewell_protocol.codec import decode_command, decode_from_board
from tarewell_protocol.fields import kinds_of
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader

SPEC = (Path(__file__).parents[2] / "protocol" / "SPEC.md").read_text("utf-8")


def section(number: int) -> str:
    found = re.search(rf"^## {number}\. .*?(?=^## |\Z)", SPEC, re.MULTILINE | re.DOTALL)
    assert found, f"SPEC.md has no section {number}"
    return found.group()


def table(number: int, heading: str) -> list[str]:
    """First column of the table whose first heading starts with `heading`, without the heading."""
    lines = section(number).splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith(f"| {heading} |"))
    rows = []
    for line in lines[start + 2 :]:
        if not line.startswith("|"):
            break
        rows.append(line.split("|")[1].strip())
    return rows


def words_after(number: int, label: str) -> set[str]:
    """The words in backquotes between `label` and the end of its sentence."""
    sentence = re.search(rf"{label}:(.*?)\.(\s|$)", section(number), re.DOTALL)
    assert sentence, f"section {number} has no sentence {label!r}"
    return set(re.findall(r"`([a-z]+)`", sentence.group(1)))


WORKED = re.findall(r"^([→←]) (.+)$", section(9), re.MULTILINE)


@pytest.mark.parametrize(("arrow", "line"), WORKED)
def test_each_line_of_the_worked_session_is_a_message(arrow: str, line: str) -> None:
    body, _, digits = line.rpartition("*")
    assert f"{Crc16Ibm3740.calc(body.encode('ascii')):04X}" == digits  # the crccheck package
    to_board = arrow == "→"
    reader = LineReader(HOST_LINE_MAX if to_board else BOARD_LINE_MAX)
    assert list(reader.feed(line.encode("ascii") + b"\n")) == [body]
    message = decode_command(body) if to_board else decode_from_board(body)
    assert message is not None
    assert not isinstance(message, m.Refusal)


def test_the_worked_session_shows_both_directions() -> None:
    assert {arrow for arrow, _ in WORKED} == {"→", "←"}


@pytest.mark.parametrize(
    ("words", "enumeration"),
    [
        (set(table(3, "reason")), {f"`{word}`" for word in m.Refusal}),
        (words_after(3, "Reset causes"), m.ResetCause),
        (words_after(4, "Stop causes"), m.StopCause),
        (
            set(
                re.findall(
                    r"`(down|up|long|[a-z]+)`", section(4).split("`button WHAT MS` |")[1].split("\n")[0]
                )
            ),
            m.Press,
        ),
        (
            set(re.findall(r"direction `(.)` or `(.)`", section(2))[0]),
            m.Direction,
        ),
    ],
    ids=["refusals", "reset causes", "stop causes", "presses", "directions"],
)
def test_each_word_of_an_enumeration_stands_in_the_specification_and_no_other(
    words: set[str], enumeration: type[StrEnum] | set[str]
) -> None:
    assert words == {str(word) for word in enumeration}


def specified(number: int, heading: str) -> dict[str, int]:
    """The words of a table of section `number`, each with the number of its fields."""
    spellings = re.findall(r"`([^`]+)`", "".join(table(number, heading)))
    return {word: len(fields) for word, *fields in (spelling.split(" ") for spelling in spellings)}


def declared(*messages: type[Any]) -> dict[str, int]:
    """The same of message classes; what no space separates is one field there."""
    return {cls.word: sum(not kind.glued for kind in kinds_of(cls).values()) for cls in messages}


def test_each_request_answer_and_report_of_the_specification_is_declared_and_no_other() -> None:
    answers = [answer for answer in get_args(m.ReplyBody) if answer is not m.OtherVersion]
    assert specified(2, "request") == declared(*get_args(m.Command))
    assert specified(3, "answer") == declared(*answers)
    assert specified(4, "report") == declared(*get_args(m.EventBody))
    assert specified(3, "answer")["hello"] > len(kinds_of(m.OtherVersion)) == 2  # the start of `hello`


def test_the_ranking_of_refusals_is_the_enumerations_order() -> None:
    assert table(3, "reason") == [f"`{word}`" for word in m.Refusal]


def test_abilities_are_in_the_specified_order() -> None:
    assert f"letters of `{m.ABILITIES}` in this order" in section(3)


def timing(row: str) -> list[float]:
    """The numbers in the value of a row of section 7, milliseconds as seconds."""
    value = next(line.split("|")[2] for line in section(7).splitlines() if line.startswith(f"| {row}"))
    numbers = re.findall(r"(\d+)(?: (ms|s)\b)?", value)
    return [float(number) / (1000 if unit == "ms" else 1) for number, unit in numbers]


def test_the_sessions_timing_is_the_specifications() -> None:
    assert timing("host repeats an unanswered request") == [session.REPLY_TIMEOUT_S, session.TRIES]
    assert timing("host repeats an unanswered stop") == [session.REPLY_TIMEOUT_S]
    assert timing("host repeats `hello`") == [session.HELLO_INTERVAL_S, session.HELLO_TIMEOUT_S]
    assert timing("longest lease") == [m.LEASE_MAX_MS / 1000]
    assert timing("host gives a link up when it hears nothing") == [session.SILENCE_S]
    assert timing("host gives a link up when requests") == [session.DEAF_S]
    assert timing("host asks `state`") == [session.HEARTBEAT_S]
    assert timing("host neither sends nor repeats a `run`") == [outbox.RUN_FRESH_S]
    assert timing("host does not send a `keep`") == [outbox.KEEP_FRESH_S]


def test_the_sizes_are_the_specifications() -> None:
    assert re.search(rf"has {HOST_LINE_MAX} bytes at most from host to board and {BOARD_LINE_MAX} from", SPEC)
    assert f"version {m.PROTOCOL_VERSION}" in SPEC.splitlines()[0]
    assert f"The version is one number, {m.PROTOCOL_VERSION}." in section(10)
