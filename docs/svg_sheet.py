"""Signs of a circuit diagram as SVG; coordinates are SVG units, x to the right, y downwards."""

INK = "#22262b"
WIRES = {  # width, colour, dashes
    "plus": (4.5, "#a8321f", ""),
    "zero": (4.5, INK, ""),
    "speed": (3.0, "#7a3d9a", "11 4 2 4"),
    "signal": (1.8, "#1f5f8b", ""),
    "thin": (1.6, INK, ""),
    "usb": (3.0, "#5c6670", "3 3"),
}


class Sheet:
    """SVG pieces in the order in which they are painted."""

    def __init__(self) -> None:
        self.pieces: list[str] = []

    def wire(self, kind: str, *points: tuple[float, float]) -> None:
        """A line through the points in the style of that kind of wire."""
        width, colour, dashes = WIRES[kind]
        path = " ".join(f"{x:g},{y:g}" for x, y in points)
        style = f' stroke-dasharray="{dashes}"' if dashes else ""
        self.pieces.append(
            f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="{width:g}"{style}/>'
        )

    def box(self, x: float, y: float, width: float, height: float, title: str = "", sub: str = "") -> None:
        """A device, its title centred at its top."""
        self.pieces.append(
            f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="5" fill="#f3f1ea" '
            f'stroke="{INK}" stroke-width="1.8"/>'
        )
        self.text(x + width / 2, y + 20, title, "middle", bold=True)
        self.text(x + width / 2, y + 37, sub, "middle", size=13)

    def text(
        self, x: float, y: float, words: str, anchor: str = "start", size: int = 15, bold: bool = False
    ) -> None:
        """Words at a place; nothing for no words."""
        weight = ' font-weight="bold"' if bold else ""
        if words:
            self.pieces.append(
                f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-size="{size}"{weight}>{words}</text>'
            )

    def dot(self, x: float, y: float, radius: float = 4.5) -> None:
        """A joint of wires."""
        self.pieces.append(f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{INK}"/>')

    def ground(self, x: float, y: float) -> None:
        """The sign for 0 V, its wire ending at the point."""
        for half, down in ((11, 0), (7, 5), (3, 10)):
            self.wire("thin", (x - half, y + down), (x + half, y + down))

    def flag(self, x: float, y: float, words: str) -> None:
        """The sign for a connection to the 5 V of the board, pointing left from the point."""
        self.pieces.append(
            f'<path d="M{x:g} {y:g} l-9 -10 h-38 v20 h38 z" fill="#fff" stroke="{INK}" stroke-width="1.5"/>'
        )
        self.text(x - 28, y + 5, words, "middle", size=13)

    def resistor(self, x: float, y: float) -> None:
        """The sign for a resistor of 10 kΩ from the wire there to 0 V."""
        self.pieces.append(
            f'<rect x="{x - 8:g}" y="{y - 8:g}" width="16" height="16" fill="#fff" stroke="{INK}" '
            'stroke-width="1.5"/>'
        )
        self.text(x, y + 5, "R", "middle", size=13, bold=True)

    def capacitor(self, x: float, top: float, bottom: float) -> None:
        """A capacitor upright between two wires."""
        middle = (top + bottom) / 2
        self.wire("thin", (x, top), (x, middle - 3))
        self.wire("thin", (x, middle + 3), (x, bottom))
        for y in (middle - 3, middle + 3):
            self.wire("thin", (x - 9, y), (x + 9, y))
