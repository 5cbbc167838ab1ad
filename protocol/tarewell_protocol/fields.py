"""Kinds of message fields: their values and spelling.

A message declares its fields as `Annotated[type, kind]`. The codec, the firmware's table and the tests take
kinds and ranges from there.
"""

import dataclasses
import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, get_type_hints


class Kind(ABC):
    """The spelling of one field."""

    __slots__ = ()

    @property
    @abstractmethod
    def pattern(self) -> str:
        """A regular expression for the form, without the range."""

    @property
    def glued(self) -> bool:
        """Whether no space separates it from the field that follows."""
        return False

    def read(self, text: str) -> Any:
        """The value of a text that matches `pattern`.

        Raises:
            ValueError: out of range.
        """
        return text

    def write(self, value: Any) -> str:
        """The text of a value; the caller keeps it within range."""
        return str(value)


@dataclass(frozen=True, slots=True)
class Number(Kind):
    """A decimal number, `minimum` to `maximum`; where `zero` is false, 0 is excluded."""

    minimum: int
    maximum: int
    zero: bool = True

    @property
    def pattern(self) -> str:
        return "0|-?[1-9][0-9]{0,9}"

    def read(self, text: str) -> int:
        value = int(text)
        if not self.minimum <= value <= self.maximum or (value == 0 and not self.zero):
            raise ValueError(f"{text} must be from {self.minimum} to {self.maximum}")
        return value


@dataclass(frozen=True, slots=True)
class Tenths(Kind):
    """A decimal number with one digit after the point, `minimum` to `maximum`; never negative."""

    minimum: int
    maximum: int

    @property
    def pattern(self) -> str:
        return r"(?:0|[1-9][0-9]{0,5})\.[0-9]"

    def read(self, text: str) -> float:
        value = float(text)
        if not self.minimum <= value <= self.maximum:
            raise ValueError(f"{text} must be from {self.minimum} to {self.maximum}")
        return value

    def write(self, value: float) -> str:
        return f"{value:.1f}"


@dataclass(frozen=True, slots=True)
class Hexadecimal(Kind):
    """A number as upper-case hexadecimal digits."""

    digits: int

    @property
    def pattern(self) -> str:
        return f"[0-9A-F]{{{self.digits}}}"

    def read(self, text: str) -> int:
        return int(text, 16)

    def write(self, value: int) -> str:
        return f"{value:0{self.digits}X}"


_CHANNELS = [frozenset(bit + 1 for bit in range(8) if mask >> bit & 1) for mask in range(256)]


@dataclass(frozen=True, slots=True)
class Channels(Kind):
    """A set of channels as two hexadecimal digits: bit n-1 for channel n."""

    @property
    def pattern(self) -> str:
        return "[0-9A-F]{2}"

    def read(self, text: str) -> frozenset[int]:
        return _CHANNELS[int(text, 16)]

    def write(self, value: frozenset[int]) -> str:
        return f"{sum(1 << (channel - 1) for channel in value):02X}"


@dataclass(frozen=True, slots=True)
class Word(Kind):
    """A word of an enumeration."""

    enumeration: type[StrEnum]

    @property
    def pattern(self) -> str:
        return "|".join(self.enumeration)

    def read(self, text: str) -> StrEnum:
        return self.enumeration(text)


@dataclass(frozen=True, slots=True)
class YesNo(Kind):
    """One spelling for true, one for false."""

    yes: str
    no: str
    glued: bool = False

    @property
    def pattern(self) -> str:
        return f"{self.yes}|{self.no}"

    def read(self, text: str) -> bool:
        return text == self.yes

    def write(self, value: bool) -> str:
        return self.yes if value else self.no


@dataclass(frozen=True, slots=True)
class Spelt(Kind):
    """A text that matches `pattern`, used as it is."""

    pattern: str


@dataclass(frozen=True, slots=True)
class Text(Kind):
    """Up to `maximum` characters of a frame, spaces included; only as the last field."""

    maximum: int

    @property
    def pattern(self) -> str:
        return f"(?s:.{{0,{self.maximum}}})"


@dataclass(frozen=True, slots=True)
class Letters(Kind):
    """A set of `known` letters, written in that order, `-` for none; other letters are ignored when read."""

    known: str

    @property
    def pattern(self) -> str:
        return "-|[a-z]+"

    def read(self, text: str) -> frozenset[str]:
        kept = re.sub(f"[^{self.known}]", "", text)
        if kept != "".join(letter for letter in self.known if letter in kept):
            raise ValueError(f"{text} has the letters of {self.known} twice or in another order")
        return frozenset(kept)

    def write(self, value: frozenset[str]) -> str:
        return "".join(letter for letter in self.known if letter in value) or "-"


@dataclass(frozen=True, slots=True)
class OrNone(Kind):
    """Another kind, or `word` for None."""

    kind: Kind
    word: str

    @property
    def pattern(self) -> str:
        return f"{self.word}|{self.kind.pattern}"

    def read(self, text: str) -> Any:
        return None if text == self.word else self.kind.read(text)

    def write(self, value: Any) -> str:
        return self.word if value is None else self.kind.write(value)


def kinds_of(message: type[Any]) -> dict[str, Kind]:
    """The kind of each field of a message class, in the order of the line."""
    hints = get_type_hints(message, include_extras=True)
    return {field.name: hints[field.name].__metadata__[0] for field in dataclasses.fields(message)}


class Syntax:
    """The spelling of a message class: its word, if it has one, then its fields."""

    def __init__(self, message: type[Any]) -> None:
        self._message, self._kinds = message, kinds_of(message)
        self._word: str = getattr(message, "word", "")
        before = [" " if self._word else "", *("" if kind.glued else " " for kind in self._kinds.values())]
        parts = list(zip(before, self._kinds.items(), strict=False))
        self._writers = [(space, name, kind.write) for space, (name, kind) in parts]
        self._readers = [(name, kind.read) for name, kind in self._kinds.items()]
        self._pattern = re.compile(
            self._word + "".join(f"{space}({kind.pattern})" for space, (_, kind) in parts)
        )

    def read(self, text: str) -> Any:
        """The message.

        Raises:
            ValueError: the text is not a valid spelling.
        """
        found = self._pattern.fullmatch(text)
        if not found:
            raise ValueError(f"{text!r} is not a {self._message.__name__}")
        texts = zip(self._readers, found.groups(), strict=True)
        return self._message(**{name: read(text) for (name, read), text in texts})

    def write(self, message: Any) -> str:
        """The text; the caller keeps values within their ranges."""
        return self._word + "".join(
            [f"{space}{write(getattr(message, name))}" for space, name, write in self._writers]
        )
