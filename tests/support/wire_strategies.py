"""Hypothesis strategies for every message of the protocol."""

from typing import Any, get_args

from hypothesis import strategies as st

from tarewell_protocol import messages as m
from tarewell_protocol.fields import (
    Channels,
    Hexadecimal,
    Kind,
    Letters,
    Number,
    OrNone,
    Spelt,
    Tenths,
    Text,
    Word,
    YesNo,
    kinds_of,
)

SEQ = st.integers(0, 0xFF)
FRAME_CHARACTERS = [chr(code) for code in range(0x20, 0x7F) if chr(code) != "*"]


def values(kind: Kind) -> st.SearchStrategy[Any]:
    """Every value of a field."""
    match kind:
        case Number(minimum, maximum, zero):
            numbers = st.integers(minimum, maximum)
            return numbers if zero else numbers.filter(bool)
        case Tenths(minimum, maximum):
            return st.integers(10 * minimum, 10 * maximum).map(lambda tenths: tenths / 10)
        case Hexadecimal(digits):
            return st.integers(0, 16**digits - 1)
        case Channels():
            return st.frozensets(st.integers(1, m.CHANNELS_MAX))
        case Word(enumeration):
            return st.sampled_from(enumeration)
        case YesNo():
            return st.booleans()
        case Text(maximum):
            return st.text(FRAME_CHARACTERS, max_size=maximum)
        case Spelt(pattern):
            return st.from_regex(pattern, fullmatch=True)
        case Letters(known):
            return st.frozensets(st.sampled_from(known))
        case OrNone(inner):
            return st.none() | values(inner)
    raise TypeError(f"no strategy for {kind!r}")


def every(*messages: type[Any]) -> st.SearchStrategy[Any]:
    """Every message of these classes."""
    return st.one_of(
        *(st.builds(cls, **{name: values(kind) for name, kind in kinds_of(cls).items()}) for cls in messages)
    )


REQUEST = st.builds(m.Request, SEQ, every(*get_args(m.Command)))
ANSWER = every(*get_args(m.ReplyBody)).filter(
    lambda answer: not isinstance(answer, m.OtherVersion) or answer.protocol != m.PROTOCOL_VERSION
)
REPORT = every(*get_args(m.EventBody))
FROM_BOARD = st.one_of(st.builds(m.Reply, SEQ, ANSWER), st.builds(m.Event, SEQ, REPORT), every(m.Sample))
