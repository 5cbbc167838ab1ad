"""The line on which each value of a TOML text (version 1.0) begins.

The standard reader does not report lines. This one reports nothing else: it only gets text that the standard
reader has accepted, so it need not validate.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

Path = tuple[str | int, ...]
"""Keys and indexes from the top of the document to a value."""


class _Token(NamedTuple):
    kind: str
    text: str
    line: int


_TOKEN = re.compile(
    r'''
      (?P<skip>   [ \t\r]+ | \#[^\n]* )
    | (?P<string> """(?:\\.?|[^\\])*?(?:"{3,5}|\Z) | \'\'\'.*?(?:\'{3,5}|\Z)
                | "(?:\\.?|[^"\\\n])*"? | '[^'\n]*'? )
    | (?P<bare>   [^\s\[\]{}=,."'\#]+ )
    | (?P<mark>   [\[\]{}=,.\n] )
    ''',
    re.VERBOSE | re.DOTALL,
)
"""An unterminated string is one token too. Scanned again from each quote in it, it would take time quadratic
in its length."""

_MAX_DEPTH = 32
_MAX_BARE = 1000

_ESCAPE = re.compile(r"\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))")
_ESCAPED = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}


def lines_of(text: str) -> dict[Path, int]:
    """The line, counted from 1, of each table, key and array entry in `text`, which must be valid TOML."""
    return _Locator(text).found


def unreadable(text: str) -> tuple[int, str] | None:
    """The line and fault of text that is unsafe to parse; None: there is none.

    The standard reader recurses with the nesting, is slow with long keys, and has its own messages for long
    numbers.
    """
    depth = dots = 0
    for token in _tokens(text):
        if token.kind == "bare" and len(token.text) > _MAX_BARE:
            return token.line, f"a key or number has more than {_MAX_BARE} characters; shorten it"
        if token.kind != "mark":
            continue
        dots = dots + 1 if token.text == "." else 0
        depth += (token.text in "[{") - (token.text in "]}")
        if max(depth, dots) > _MAX_DEPTH:
            return token.line, f"this is nested more than {_MAX_DEPTH} levels deep; no set-up is"
    return None


def _tokens(text: str) -> Iterator[_Token]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or "skip"
        if kind != "skip":
            yield _Token(kind, match[0], line)
        line += match[0].count("\n")
    yield _Token("end", "", line)


class _Locator:
    def __init__(self, text: str) -> None:
        self._tokens = _tokens(text)
        self._now = next(self._tokens)
        self.found: dict[Path, int] = {}
        self._entries: dict[Path, int] = {}
        """The number of tables in each array of tables so far."""
        table: Path = ()
        while self._now.kind != "end":
            if self._at("\n"):
                self._take()
            elif self._at("["):
                table = self._header()
            else:
                self._pair(table)

    def _take(self) -> _Token:
        taken = self._now
        if taken.kind != "end":
            self._now = next(self._tokens)
        return taken

    def _at(self, marks: str) -> bool:
        return self._now.kind == "mark" and self._now.text in marks

    def _header(self) -> Path:
        line = self._take().line
        of_array = self._at("[")
        if of_array:
            self._take()
        path: Path = ()
        for key in self._key():
            if path in self._entries:
                path = (*path, self._entries[path] - 1)
            path = (*path, key)
            self.found.setdefault(path, line)
        for _ in range(1 + of_array):
            self._take()
        if of_array:
            self._entries[path] = self._entries.get(path, 0) + 1
        if path in self._entries:
            path = (*path, self._entries[path] - 1)
            self.found[path] = line
        return path

    def _pair(self, table: Path) -> None:
        line = self._now.line
        path = table
        for key in self._key():
            path = (*path, key)
            self.found.setdefault(path, line)
        self._take()  # the equals sign
        self._value(path)

    def _key(self) -> list[str]:
        keys = [_plain(self._take())]
        while self._at("."):
            self._take()
            keys.append(_plain(self._take()))
        return keys

    def _value(self, path: Path) -> None:
        if self._at("["):
            self._take()
            self._array(path)
        elif self._at("{"):
            self._take()
            self._inline_table(path)
        else:
            while self._now.kind != "end" and not self._at("]},\n"):
                self._take()

    def _array(self, path: Path) -> None:
        index = 0
        while not self._at("]"):
            if self._at("\n,"):
                self._take()
                continue
            self.found[(*path, index)] = self._now.line
            self._value((*path, index))
            index += 1
        self._take()

    def _inline_table(self, path: Path) -> None:
        while not self._at("}"):
            if self._at(","):
                self._take()
            else:
                self._pair(path)
        self._take()


def _plain(key: _Token) -> str:
    """A key without its quotes and escapes."""
    if key.kind != "string":
        return key.text
    inner = key.text[1:-1]
    return inner if key.text.startswith("'") else _ESCAPE.sub(_unescaped, inner)


def _unescaped(match: re.Match[str]) -> str:
    code = match[1] or match[2]
    return chr(int(code, 16)) if code else _ESCAPED.get(match[3], match[3])
