"""Writes src/portable/wire.h, the firmware's tables of messages, from tarewell_protocol.messages.

`make wire` runs it; the firmware builds without Python from the file that is checked in. Samples
and `hello` answers are of a form of their own, which messages.c writes by hand.
"""

from enum import StrEnum
from pathlib import Path
from textwrap import wrap
from typing import Any, get_args

from tarewell_protocol import messages as m
from tarewell_protocol.fields import Channels, Hexadecimal, Kind, Number, OrNone, Text, Word, YesNo, kinds_of

HEADER = Path(__file__).parent / "src" / "portable" / "wire.h"

NUMBERED: dict[type[StrEnum], tuple[str, str, tuple[str, str] | None]] = {
    m.Refusal: ("reason", "TW_NO_", ("TW_OK", "ok")),
    m.ResetCause: ("reset_cause", "TW_RESET_", None),
    m.StopCause: ("stop_cause", "TW_STOPPED_", ("TW_STOPPED_NEVER", "-")),
    m.Press: ("press", "TW_PRESS_", None),
    m.SelfTestVerdict: ("verdict", "TW_VERDICT_", None),
}
"""Name and prefix in C of each enumeration that the firmware writes, and what comes before its first word."""

BY_HAND = (m.Identity, m.OtherVersion)


def names_and_words(enumeration: type[StrEnum]) -> list[tuple[str, str]]:
    """As numbered in C, from 0."""
    _, prefix, before = NUMBERED[enumeration]
    return [*([before] if before else []), *((prefix + word.name, word.value) for word in enumeration)]


def quoted(word: str, maximum: int) -> str:
    """A word as a string in C; messages.c and request.c keep room for so many characters."""
    if len(word) > maximum:
        raise ValueError(f"{word!r} has more than {maximum} characters: widen its table in C, and here")
    return f'"{word}"'


def request_field(kind: Kind) -> tuple[str, Any, Any]:
    """Kind, minimum and maximum as `take_field` in request.c reads them."""
    match kind:
        case Number(minimum, maximum, zero=True) if max(-minimum, maximum) < 10**7:
            return "NUMBER", minimum, maximum
        case OrNone(Number(minimum, maximum), "all") if minimum > 0:
            return "NUMBER_OR_ALL", minimum, maximum
        case Hexadecimal(2 | 4 as digits):
            return "HEX", 0, 16**digits - 1
        case YesNo(yes, no, glued) if len(yes + no) == 2:
            return "LETTER_GLUED" if glued else "LETTER", f"'{no}'", f"'{yes}'"
        case Word(enumeration) if [len(word) for word in enumeration] == [1, 1]:
            first, second = enumeration
            return "LETTER", f"'{first}'", f"'{second}'"
        case Text(maximum):
            return "TEXT", 0, maximum
    raise TypeError(f"request.c does not read {kind!r}: add a kind to take_field there, and here")


def said_field(kind: Kind) -> tuple[str, str]:
    """Kind and start of its words as `tw_say` in messages.c writes them."""
    match kind:
        case Number(minimum):
            return "SIGNED" if minimum < 0 else "NUMBER", "0"
        case YesNo("1", "0"):
            return "NUMBER", "0"
        case Hexadecimal(2) | Channels():
            return "HEX", "0"
        case Hexadecimal(4):
            return "HEX4", "0"
        case Word(enumeration) | OrNone(Word(enumeration), "-"):
            return "WORD", f"TW_{NUMBERED[enumeration][0].upper()}_WORDS"
    raise TypeError(f"messages.c does not write {kind!r}: add a kind to tw_say there, and here")


def requests() -> list[str]:
    rows = []
    for command in get_args(m.Command):
        name = command.word.upper()
        rows.append(
            f"REQUEST({name}, {quoted(command.word, 7)}, {'true' if command in m.ANSWERS else 'false'})"
        )
        for field, kind in kinds_of(command).items():
            what, minimum, maximum = request_field(kind)
            rows.append(f"FIELD({name}, {field.upper()}, {what}, {minimum}, {maximum})")
    return rows


def sayings() -> list[str]:
    rows = []
    for start, union in (("<", m.ReplyBody), ("!", m.EventBody)):
        for message in get_args(union):
            if message in BY_HAND:
                continue
            name = message.word.upper()
            rows.append(f"SAYING({name}, '{start}', {quoted(message.word, 7)})")
            for field, kind in kinds_of(message).items():
                rows.append(f"FIELD({name}, {field.upper()}, {', '.join(said_field(kind))})")
    return rows


def rows_of(head: str, rows: list[str]) -> str:
    return " \\\n".join([f"#define {head}", *(f"    {row}" for row in rows)])


def filled(head: str, items: list[str], tail: str) -> str:
    lines = wrap(", ".join(items), 110, initial_indent="    ", subsequent_indent="    ")
    return "\n".join([head, *lines, tail])


def header() -> str:
    """The whole file."""
    enums, words, starts = [], [], []
    for enumeration, (name, _, _) in NUMBERED.items():
        pairs = names_and_words(enumeration)
        enums.append(filled(f"enum tw_{name} {{", [constant for constant, _ in pairs], "};"))
        starts.append(f"TW_{name.upper()}_WORDS = {len(words)}")
        words += [quoted(word, 9) for _, word in pairs]
    return f"""\
/* What host and board say, as tables; `make wire` writes this file from tarewell_protocol/messages.py.
 *
 * TW_REQUESTS and TW_SAYINGS are given a macro for each kind of row: see request.h and messages.c.
 */
#ifndef TAREWELL_WIRE_H
#define TAREWELL_WIRE_H

#define TW_PROTOCOL {m.PROTOCOL_VERSION}U

/* Reasons in the order of SPEC.md: where more than one holds, the lower one is told. TW_OK is no refusal. */
{(chr(10) * 2).join(enums)}

/* The words of these, one list after another, and where each starts. */
{filled("#define TW_WORDS {", words, "}").replace(chr(10), " " + chr(92) + chr(10))}
{filled("enum tw_words {", starts, "};")}

/* From the host: REQUEST(name, verb, whether it only asks), FIELD(request, name, kind, minimum, maximum). */
{rows_of("TW_REQUESTS(REQUEST, FIELD)", requests())}

/* To the host: SAYING(name, first character, word), FIELD(saying, name, kind, start of its words). */
{rows_of("TW_SAYINGS(SAYING, FIELD)", sayings())}

#endif
"""


if __name__ == "__main__":
    HEADER.write_text(header(), "ascii")
