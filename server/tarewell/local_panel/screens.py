"""Draws the dialogue's views as lines of a display of any size; made for 16x2 and 20x4.

A word with a question mark at the end of a two-line display's last line says what a press does: `stop?`.
Brackets enclose what the knob has chosen.
"""

import textwrap
from dataclasses import dataclass
from unicodedata import category, normalize

from tarewell.dosing.states import PourState

from .cards import Card
from .events import PourShown

CUT = "~"
"""Marks a text that continues. Many displays' character ROMs have an arrow to the right in its place (from
memory), which means the same."""

_NO_DECOMPOSITION = {
    "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L",
    "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ı": "i", "‘": "'", "’": "'", "“": '"',
    "”": '"', "„": '"', "–": "-", "—": "-", "×": "x", "€": "EUR", "°": "deg",
}  # fmt: skip
_FORBIDDEN = {"*": "+", ">": "]"}
"""The asterisk ends a frame's body (SPEC.md section 1); `>` would let half a damaged line look like a request
(protocol/DESIGN.md section 2)."""

_TABLE = str.maketrans(_NO_DECOMPOSITION | _FORBIDDEN)

MAX_COLUMNS = 20
MAX_ROWS = 4
"""The longest line that one message can show (SPEC.md section 2)."""


@dataclass(frozen=True, slots=True)
class ListView:
    """Items of which the knob chooses one; `press` is what a press does, `back`: a long one goes back."""

    title: str
    items: tuple[str, ...]
    index: int
    press: str
    back: bool
    corner: str = ""


@dataclass(frozen=True, slots=True)
class PourScreen:
    """A pour under way."""

    pour: PourShown


@dataclass(frozen=True, slots=True)
class CardView:
    """A page of a card."""

    card: Card
    page: int


View = ListView | PourScreen | CardView

_DOING = {
    PourState.IDLE: "Beginning ...",
    PourState.AWAITING_GLASS: "Put a glass on",
    PourState.TARING: "Weighing glass",
    PourState.HOLDING: "Holding ...",
    PourState.HELD: "Held",
    PourState.RESTARTING: "Checking glass",
    PourState.STOPPING: "Stopping ...",
    PourState.ABORTING: "Stopping ...",
    PourState.STOPPED: "Finishing ...",
    PourState.ABORTED: "Finishing ...",
    PourState.COMPLETE: "Finishing ...",
}
"""What a pour does while no pump runs for it; feeding and settling show the bar."""

_ENDING = frozenset(
    {PourState.STOPPING, PourState.ABORTING, PourState.STOPPED, PourState.ABORTED, PourState.COMPLETE}
)


def is_ending(pour: PourShown) -> bool:
    """Whether the pour no longer accepts a stop."""
    return pour.state in _ENDING


def draw(view: View, columns: int, rows: int) -> list[str]:
    """Exactly `rows` lines of at most `columns` printable ASCII characters, without spaces at their end."""
    columns, rows = min(columns, MAX_COLUMNS), min(rows, MAX_ROWS)
    match view:
        case ListView():
            lines = _list(view, columns, rows)
        case PourScreen():
            lines = _pour(view, columns, rows)
        case CardView():
            lines = _card(view, columns, rows)
    lines = [fit(line.rstrip(), columns).rstrip() for line in lines[:rows]]
    return lines + [""] * (rows - len(lines))


def _asking(body: str, press: str, columns: int) -> str:
    """`body`, and what a press does where there is room for both."""
    word = f"{press}?"
    return f"{body:<{columns - len(word)}}{word}" if press and len(body) + 1 + len(word) <= columns else body


def _bracket(text: str, columns: int) -> str:
    return f"[{fit(text, max(0, columns - 2))}]"


def _list(view: ListView, columns: int, rows: int) -> list[str]:
    items = [printable(item) for item in view.items]
    chosen = _bracket(items[view.index], columns)
    title = spread(printable(view.title), view.corner, columns)
    if rows == 1:
        return [_asking(chosen, view.press, columns)]
    if rows < 4:
        return [title, _asking(chosen, view.press, columns)]
    following = "" if view.index + 1 >= len(items) else f" {items[view.index + 1]}"
    return [
        title,
        chosen,
        following,
        spread(f"press:{view.press}", "hold:back" if view.back else "", columns),
    ]


def _pour(view: PourScreen, columns: int, rows: int) -> list[str]:
    pour = view.pour
    title, delivered_ml = printable(pour.title), max(pour.delivered_ml, 0.0)
    doing = _DOING.get(pour.state)
    press = "" if is_ending(pour) else "stop"
    amount, mass = f"{delivered_ml:.0f} ml", f"{max(pour.delivered_g, 0.0):.0f} g"
    whole = f"{delivered_ml:.0f} of {pour.target_ml:.0f} ml"
    share = delivered_ml / pour.target_ml if pour.target_ml > 0 else 0.0
    hint = f"press:{press}" if press else ""
    if rows == 1:
        return [spread(doing or title, amount, columns)]
    if doing is not None:
        if rows < 4:
            room = columns - len(press) - 2 if press else columns
            return [doing, _asking(fit(title, room), press, columns)]
        return [doing, title, whole, hint]
    if rows < 4:
        word = f" {press}?" if press else ""
        return [spread(title, amount, columns), bar(share, max(0, columns - len(word))) + word]
    return [title, spread(whole, mass, columns), bar(share, columns), hint]


def pages(card: Card, columns: int, rows: int) -> list[tuple[str, ...]]:
    """The pages of a card's text on a display of this size, at least one."""
    text = printable(card.text)
    width = columns if rows >= 4 else max(1, columns - 1)  # the last column marks that more follows
    if rows == 1:
        lines = wrap(f"{printable(card.title)}: {text}", width)
    else:
        about = [fit(printable(card.about), width)] if rows >= 4 and card.about else []
        lines = about + wrap(text, width)
    height = max(1, rows - 2 if rows >= 4 else rows - 1)
    return [tuple(lines[at : at + height]) for at in range(0, len(lines), height)]


def _card(view: CardView, columns: int, rows: int) -> list[str]:
    card = view.card
    texts = pages(card, columns, rows)
    count = len(texts) + len(card.actions)
    page = min(max(view.page, 0), count - 1)
    acting = page >= len(texts)
    body = [f"[{card.actions[page - len(texts)]}]"] if acting else list(texts[page])
    more = page + 1 < count
    title = fit(printable(card.title), columns)
    if rows >= 4:
        body += [""] * (rows - 2 - len(body))
        press = "do it" if acting else card.press
        hint = f"press:{press}" if press else "turn:more" if count > 1 else ""
        return [title, *body, spread(hint, f"{page + 1}/{count}" if count > 1 else "", columns)]
    if more:
        body[-1] = f"{fit(body[-1], columns - 1):<{columns - 1}}{CUT}"
    elif not acting:
        body[-1] = _asking(body[-1], card.press, columns)
    return body if rows == 1 else [title, *body]


def printable(text: str) -> str:
    """`text` in the display's characters: letters lose their accents, characters without an equivalent become
    `?`.

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
    """`text` cut to `width` characters, with a mark where it was cut."""
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
