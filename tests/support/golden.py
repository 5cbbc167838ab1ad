"""Reads the golden frames of protocol/vectors; their README explains the format."""

from pathlib import Path
from typing import Any, get_args

import pytest

from tarewell_protocol import messages as m
from tarewell_protocol.fields import (
    Channels,
    Kind,
    Letters,
    OrNone,
    Spelt,
    Tenths,
    Text,
    Word,
    YesNo,
    kinds_of,
)

VECTORS = Path(__file__).parents[2] / "protocol" / "vectors"
Case = dict[str, str]

COMMANDS: dict[str, type[m.Command]] = {command.word: command for command in get_args(m.Command)}
ANSWERS: dict[str, type[m.ReplyBody]] = {
    **{answer.word: answer for answer in get_args(m.ReplyBody) if answer is not m.OtherVersion},
    "other_version": m.OtherVersion,
}
REPORTS: dict[str, type[m.EventBody]] = {report.word: report for report in get_args(m.EventBody)}


def read_cases(path: str) -> list[Case]:
    """The cases of a file."""
    cases: list[Case] = []
    for line in (VECTORS / path).read_bytes().decode("ascii").split("\n"):
        if line.startswith("#") or not line:
            continue
        key, equals, value = line.partition("=")
        assert equals, f"{path}: neither key=value nor a comment: {line!r}"
        if key == "case":
            cases.append({})
        assert key not in cases[-1], f"{path}: {key} twice in case {cases[-1]['case']!r}"
        cases[-1][key] = value
    assert cases
    return cases


def parametrized(cases: list[Case]) -> pytest.MarkDecorator:
    """A test for each case, under its name."""
    return pytest.mark.parametrize("case", cases, ids=[case["case"] for case in cases])


def bodies(path: str) -> list[str]:
    """The frame bodies of a file of valid lines."""
    return [case["wire"].rpartition("*")[0] for case in read_cases(path)]


def meaning(message: type[Any], case: Case) -> Any:
    """The message of a class that the keys of a case describe."""
    return message(**{name: _value(kind, name, case) for name, kind in kinds_of(message).items()})


def from_board(case: Case) -> m.FromBoard:
    """The message that the keys of a board's case describe."""
    kind = case["kind"]
    if kind == "sample":
        sample: m.Sample = meaning(m.Sample, case)
        return sample
    if kind in ANSWERS:
        return m.Reply(int(case["seq"]), meaning(ANSWERS[kind], case))
    return m.Event(int(case["number"]), meaning(REPORTS[kind], case))


def _value(kind: Kind, name: str, case: Case) -> Any:
    text = case["running_mask" if name == "running" else name]
    match kind:
        case OrNone(inner, word):
            return None if text == word else _value(inner, name, case)
        case Channels():
            return frozenset(n for n in range(1, 9) if int(text) & 1 << (n - 1))
        case Word(enumeration):
            return enumeration(text)
        case YesNo():
            return {"0": False, "1": True}[text]
        case Letters():
            return frozenset(text.replace("-", ""))
        case Text():
            return text.removeprefix('"').removesuffix('"')
        case Spelt():
            return text
        case Tenths():
            return float(text)
    return int(text)
