"""Text that a small character display can show: printable ASCII, cut and wrapped to its width."""

import textwrap
from unicodedata import category, normalize

CUT = "~"
"""Ends what goes on out of sight. Many displays' character ROMs have an arrow to the right in its place (from
memory), which says the same."""

_NO_DECOMPOSITION = {
    "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L",
    "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ı": "i", "‘": "'", "’": "'", "“": '"',
    "”": '"', "„": '"', "–": "-", "—": "-", "×": "x", "€": "EUR", "°": "deg",
}  # fmt: skip
_FORBIDDEN = {"*": "+", ">": "]"}
"""The asterisk ends a frame's body (SPEC.md section 1); `>` would let half a damaged line look like a request
(protocol/DESIGN.md section 2)."""

_TABLE = str.maketrans(_NO_DECOMPOSITION | _FORBIDDEN)


def printable(text: str) -> str:
    """`text` in the display's characters: letters lose their accents, what has no equal becomes `?`.

    Runs of spaces, line ends and tabs become one space.
    """
    plain = []
    for char in normalize("NFKD", text.translate(_TABLE)).translate(_TABLE):
        kind = category(char)
        if kind in ("Mn", "Me", "Cf"):  # accents, joiners, variation selectors
            continue
        if " " <= char <= "~":
            plain.append(char)
        else:
            plain.append(" " if kind[0] == "Z" or char in "\t\n\r\v\f" else "?")
    return " ".join("".join(plain).split())


def fit(text: str, width: int) -> str:
    """`text` cut to `width` characters, with a mark where something was cut off."""
    if len(text) <= width:
        return text
    return (text[: max(0, width - 1)] + CUT)[:width] if width > 0 else ""


def spread(left: str, right: str, width: int) -> str:
    """`left` and `right` at the two ends of a line; `left` is cut to leave `right` whole."""
    if not right:
        return fit(left, width)
    room = width - len(right) - 1
    if room < 1:
        return fit(right, width)
    return f"{fit(left, room):<{room}} {right}"


def wrap(text: str, width: int) -> list[str]:
    """`text` in lines of at most `width` (1 or more) characters, broken at spaces where there are any."""
    return textwrap.wrap(text, width) or [""]


def bar(share: float, width: int) -> str:
    """A bar of `width` plain characters, filled from the left by `share`, 0 to 1."""
    filled = round(min(max(share, 0.0), 1.0) * width)
    return "#" * filled + "." * (width - filled)
