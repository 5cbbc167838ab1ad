"""Writes the tables in docs/build/wiring.md, and docs/build/wiring.svg, from protocol/firmware/pins.h."""

import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).parent
sys.path.insert(0, str(DOCS))

from svg_sheet import INK, Sheet  # noqa: E402

HEADER = DOCS.parent / "protocol" / "firmware" / "pins.h"
PAGE = DOCS / "build" / "wiring.md"
PICTURE = DOCS / "build" / "wiring.svg"

KINDS = {
    "OUT": "output",
    "IN_UP": "input, pull-up in the chip",
    "I2C": "open drain, pull-up on the expander",
}
# Pins of a 74HC595 in its 16-pin package, as in its data sheet; what each is wired to is ours.
REGISTER_PINS = {14: "DS", 11: "SHCP", 12: "STCP", 13: "OE", 10: "MR", 9: "Q7S", 8: "GND", 16: "VCC"}
OUTPUT_PINS = (15, 1, 2, 3, 4, 5, 6, 7)


@dataclass(frozen=True)
class Pin:
    """One pin of the board: name in the firmware, chip port, label on the board, kind, far end."""

    name: str
    port: str
    label: str
    kind: str
    goes_to: str


@dataclass(frozen=True)
class Wiring:
    """The board's pins in the header's order, and what each output of the shift register drives."""

    pins: tuple[Pin, ...]
    outputs: dict[int, str]
    analog: tuple[tuple[str, str, str], ...]
    """Label, name and far end of each optional input."""

    def pin(self, name: str) -> Pin:
        """The pin of that name; ValueError if the header has none."""
        for pin in self.pins:
            if pin.name == name:
                return pin
        raise ValueError(f"pins.h has no pin {name}; name it there or change docs/draw_wiring.py")


def read(header: str) -> Wiring:
    """The wiring in the text of pins.h; ValueError if a table is missing."""
    pins = re.findall(r'\bPIN\((\w+), (\w), (\d), "(\w+)", (\w+), +"([^"]+)"\)', header)
    analog = re.findall(r'\bINPUT\((\w+), \d, "(\w+)", "([^"]+)"\)', header)
    outputs = re.findall(r'\bOUTPUT\((\d), "([^"]+)"\)', header)
    if not pins or not outputs:
        raise ValueError("pins.h: expected lines PIN(...) and OUTPUT(...), found none; see its first comment")
    return Wiring(
        tuple(Pin(name, f"P{port}{bit}", label, kind, goes) for name, port, bit, label, kind, goes in pins),
        {int(bit): goes for bit, goes in outputs},
        tuple((label, name, goes) for name, label, goes in analog),
    )


def pull_down(pin: Pin) -> str:
    """The resistor from that wire to 0 V, or a dash."""
    if pin.name == "SPEED":
        return "1 kΩ, **never left out**"
    return "10 kΩ" if pin.kind == "OUT" and pin.name != "UART_TX" else "–"


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A Markdown table."""
    return "\n".join(f"| {' | '.join(row)} |" for row in (head, ("---",) * len(head), *rows))


def pin_table(wiring: Wiring) -> str:
    """Every pin of the board, in the header's order."""
    rows = [
        (pin.label, pin.port, f"`{pin.name}`", KINDS[pin.kind], pin.goes_to, pull_down(pin))
        for pin in wiring.pins
    ]
    return table(("board", "chip", "wire", "kind", "goes to", "resistor to 0 V"), rows)


def analog_table(wiring: Wiring) -> str:
    """The optional inputs."""
    return table(
        ("board", "wire", "goes to"), [(label, f"`{name}`", goes) for label, name, goes in wiring.analog]
    )


def channel_table(wiring: Wiring) -> str:
    """The two direction wires of each channel, whichever device they come from."""
    ends = {pin.goes_to: f"{pin.label}, `{pin.name}`" for pin in wiring.pins}
    ends |= {goes: f"shift register Q{bit}, pin {OUTPUT_PINS[bit]}" for bit, goes in wiring.outputs.items()}
    enable = wiring.pin("SPEED").label
    rows = [
        (
            str(channel),
            ends[f"channel {channel}, bridge input forward"],
            ends[f"channel {channel}, bridge input reverse"],
            f"{enable}, `SPEED`",
        )
        for channel in range(1, 9)
    ]
    return table(("channel", "bridge input forward", "bridge input reverse", "bridge enable"), rows)


def register_table(wiring: Wiring) -> str:
    """Every pin of the shift register."""
    data, clock = (f"{wiring.pin(name).label}, `{name}`" for name in ("SHIFT_DATA", "SHIFT_CLOCK"))
    goes = {"DS": data, "SHCP": clock, "STCP": clock, "MR": "5 V", "VCC": "5 V", "OE": "0 V", "GND": "0 V"}
    goes["Q7S"] = "nothing"
    pins = {number: (name, goes[name]) for number, name in REGISTER_PINS.items()}
    pins |= {OUTPUT_PINS[bit]: (f"Q{bit}", far_end) for bit, far_end in wiring.outputs.items()}
    return table(("pin", "name", "goes to"), [(str(number), *pins[number]) for number in sorted(pins)])


def fill(page: str, wiring: Wiring) -> str:
    """The page with its generated tables made anew; ValueError if a mark is missing."""
    tables = {"pins": pin_table, "optional": analog_table}
    tables |= {"channels": channel_table, "register": register_table}
    for name, made in tables.items():
        begin, end = f"<!-- made from pins.h: {name} -->\n", "<!-- end -->"
        before, mark, rest = page.partition(begin)
        if not mark or end not in rest:
            raise ValueError(f"wiring.md: expected the marks {begin.strip()} and {end}; put them back")
        page = f"{before}{begin}\n{made(wiring)}\n\n{rest[rest.index(end) :]}"
    return page


# The picture. Coordinates are SVG units; x grows to the right, y downwards.
WIDTH, HEIGHT = 1280, 1130
BOARD_LEFT, BOARD_RIGHT, BRIDGE_LEFT, BRIDGE_RIGHT = 470, 610, 900, 1020
SPEED_BUS, PLUS_RAIL, ZERO_RAIL = 868, 1180, 1224
ROW_TOP, ROW_PITCH = 160, 88
PLUS_Y, ZERO_Y, STAR_X = 960, 1024, 540


def row(channel: int) -> int:
    """Upper edge of a channel's bridge."""
    return ROW_TOP + (channel - 1) * ROW_PITCH


def draw(wiring: Wiring) -> str:
    """The picture as SVG text."""
    sheet = Sheet()
    power(sheet)
    left_side(sheet, wiring)
    direct_channels(sheet, wiring)
    shifted_channels(sheet, wiring)
    speed(sheet, wiring)
    board(sheet, wiring)
    for channel in range(1, 9):
        bridge(sheet, channel)
    legend(sheet)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" '
        f'fill="{INK}" role="img" aria-label="Wiring of board, load cell, knob, display, bridges, pumps and '
        'pump supply">'
    )
    return "\n".join(
        (head, f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>', *sheet.pieces, "</svg>", "")
    )


def left_pins(wiring: Wiring) -> dict[str, int]:
    """Height of each pin at the board's left edge."""
    heights = {"ADC_DATA": 130, "ADC_CLOCK": 160, "KNOB_A": 300, "KNOB_B": 326, "BUTTON": 352}
    heights |= {"DISPLAY_SDA": 450, "DISPLAY_SCL": 478, "UART_RX": 560, "UART_TX": 582}
    return {wiring.pin(name).name: y for name, y in heights.items()}


def left_side(sheet: Sheet, wiring: Wiring) -> None:
    """Load cell, knob, display and computer."""
    at = left_pins(wiring)
    for name, y in at.items():
        if name.startswith("UART"):
            continue
        sheet.wire("signal", (330, y), (BOARD_LEFT, y))
        sheet.text(400, y - 5, name, "middle", size=13)
    sheet.resistor(452, at["ADC_CLOCK"])
    for y, words in ((118, "E+"), (142, "S+"), (166, "S−"), (190, "E−")):
        sheet.wire("thin", (136, y), (190, y))
        sheet.text(163, y - 4, words, "middle", size=13)
    sheet.wire("usb", (136, 206), (190, 206))
    sheet.text(163, 222, "shield", "middle", size=12)
    sheet.box(26, 84, 110, 140, "load cell", "1 kg")
    sheet.box(190, 84, 140, 140, "load-cell", "")
    sheet.text(260, 121, "ADC", "middle", bold=True)
    sheet.text(322, at["ADC_DATA"] + 5, "data", "end", size=13)
    sheet.text(322, at["ADC_CLOCK"] + 5, "clock", "end", size=13)
    sheet.text(260, 204, "RATE high: 80 /s", "middle", size=13)
    sheet.box(190, 272, 140, 100, "", "")
    sheet.text(204, 296, "knob", bold=True)
    for name, words in (("KNOB_A", "A"), ("KNOB_B", "B"), ("BUTTON", "push")):
        sheet.text(322, at[name] + 5, words, "end", size=13)
    sheet.wire("signal", (150, 456), (190, 456))
    sheet.box(26, 420, 124, 80, "display", "16×2 or 20×4")
    sheet.box(190, 420, 140, 80, "", "")
    sheet.text(204, 444, "I2C", bold=True)
    sheet.text(204, 462, "expander", bold=True)
    sheet.text(322, at["DISPLAY_SDA"] + 5, "SDA", "end", size=13)
    sheet.text(322, at["DISPLAY_SCL"] + 5, "SCL", "end", size=13)
    for y in (244, 520):
        sheet.wire("thin", (300, y - 20), (300, y - 6))
        sheet.ground(300, y - 6)
        sheet.wire("thin", (236, y - 20), (236, y))
        sheet.flag(236, y, "5 V")
    sheet.wire("thin", (190, 340), (168, 340), (168, 352))
    sheet.ground(168, 352)
    middle = (at["UART_RX"] + at["UART_TX"]) / 2
    sheet.wire("usb", (150, middle), (BOARD_LEFT, middle))
    sheet.text(310, middle - 7, "USB cable", "middle", size=13)
    sheet.box(26, middle - 29, 124, 58, "computer", "runs the daemon")


def direct_channels(sheet: Sheet, wiring: Wiring) -> None:
    """Direction wires of channels 1 to 4 with their pull-down network."""
    sheet.box(640, row(1) + 22, 18, row(4) - row(1) + 48)
    sheet.wire("thin", (649, row(4) + 70), (649, row(4) + 84))
    sheet.ground(649, row(4) + 84)
    sheet.text(668, row(4) + 80, "8 × 10 kΩ to 0 V,", size=13)
    sheet.text(668, row(4) + 96, "one at each wire", size=13)
    for channel in range(1, 5):
        for name, y in ((f"FORWARD_{channel}", row(channel) + 36), (f"REVERSE_{channel}", row(channel) + 58)):
            sheet.wire("signal", (BOARD_RIGHT, y), (BRIDGE_LEFT, y))
            sheet.dot(649, y)
            sheet.text(690, y - 4, wiring.pin(name).name, size=13)


def shifted_channels(sheet: Sheet, wiring: Wiring) -> None:
    """Shift register and the direction wires of channels 5 to 8."""
    top, data_y, clock_y, store_y = row(5) + 16, row(5) + 36, row(5) + 66, row(5) + 92
    sheet.wire("signal", (BOARD_RIGHT, data_y), (718, data_y))
    sheet.wire("signal", (BOARD_RIGHT, clock_y), (718, clock_y))
    sheet.wire("signal", (702, clock_y), (702, store_y), (718, store_y))
    sheet.dot(702, clock_y)
    for name, y in (("SHIFT_DATA", data_y), ("SHIFT_CLOCK", clock_y)):
        sheet.text(616, y - 10, wiring.pin(name).name, size=12)
        sheet.resistor(630, y)
    sheet.box(718, top, 96, row(8) + 74 - top)
    for y, words in ((data_y, "DS"), (clock_y, "SHCP"), (store_y, "STCP")):
        sheet.text(725, y + 5, words, size=13)
    sheet.text(766, row(6) + 77, "shift", "middle", bold=True)
    sheet.text(766, row(6) + 94, "register", "middle", bold=True)
    sheet.text(766, row(6) + 110, "74HC595", "middle", size=13)
    for bit in wiring.outputs:
        y = row(5 + bit // 2) + (58 if bit % 2 else 36)
        sheet.wire("signal", (814, y), (BRIDGE_LEFT, y))
        sheet.text(807, y + 5, f"Q{bit}", "end", size=13)
        sheet.text(821, y - 4, f"{5 + bit // 2} {'rev' if bit % 2 else 'fwd'}", size=12)
    sheet.wire("thin", (718, row(7) + 56), (702, row(7) + 56))
    sheet.flag(702, row(7) + 56, "5 V")
    sheet.text(725, row(7) + 61, "VCC,", size=13)
    sheet.text(725, row(7) + 77, "MR", size=13)
    sheet.wire("thin", (718, row(8) + 26), (692, row(8) + 26), (692, row(8) + 36))
    sheet.ground(692, row(8) + 36)
    sheet.text(725, row(8) + 31, "GND,", size=13)
    sheet.text(725, row(8) + 47, "OE", size=13)


def speed(sheet: Sheet, wiring: Wiring) -> None:
    """The one enable wire with its resistor, past every bridge."""
    y = 84
    sheet.wire("speed", (BOARD_RIGHT, y), (SPEED_BUS, y), (SPEED_BUS, row(8) + 14))
    sheet.text(632, y - 8, f"{wiring.pin('SPEED').name}: the one gate of all pumps", bold=True)
    for channel in range(1, 9):
        sheet.wire("speed", (SPEED_BUS, row(channel) + 14), (BRIDGE_LEFT, row(channel) + 14))
        sheet.dot(SPEED_BUS, row(channel) + 14)
    sheet.wire("thin", (SPEED_BUS, row(8) + 14), (SPEED_BUS, ZERO_Y))
    sheet.box(SPEED_BUS - 8, row(8) + 84, 16, 40)
    sheet.dot(SPEED_BUS, ZERO_Y)
    sheet.text(SPEED_BUS + 18, row(8) + 100, "1 kΩ to the bridges' 0 V,", size=13)
    sheet.text(SPEED_BUS + 18, row(8) + 117, "never left out", size=13, bold=True)


def board(sheet: Sheet, wiring: Wiring) -> None:
    """The board with its labels, over the wires' ends."""
    sheet.box(BOARD_LEFT, 46, BOARD_RIGHT - BOARD_LEFT, 580)
    sheet.text(STAR_X, 228, "board", "middle", size=17, bold=True)
    sheet.text(STAR_X, 247, "ATmega328P", "middle", size=13)
    sheet.text(STAR_X, 263, "5 V, 16 MHz", "middle", size=13)
    right = {"SPEED": 84, "SHIFT_DATA": row(5) + 36, "SHIFT_CLOCK": row(5) + 66}
    for channel in range(1, 5):
        right |= {f"FORWARD_{channel}": row(channel) + 36, f"REVERSE_{channel}": row(channel) + 58}
    left = left_pins(wiring)
    lost = {pin.name for pin in wiring.pins} - left.keys() - right.keys()
    if lost:
        raise ValueError(f"no place in the picture for {sorted(lost)}; give them one in docs/draw_wiring.py")
    for name, y in left.items():
        sheet.text(BOARD_LEFT + 8, y + 5, wiring.pin(name).label, bold=True)
    sheet.text(BOARD_LEFT + 36, left["UART_RX"] + 5, "UART_RX", size=12)
    sheet.text(BOARD_LEFT + 36, left["UART_TX"] + 5, "UART_TX", size=12)
    for name, y in right.items():
        sheet.text(BOARD_RIGHT - 8, y + 5, wiring.pin(name).label, "end", bold=True)
    sheet.text(STAR_X, 283, f"{' and '.join(label for label, _, _ in wiring.analog)}:", "middle", size=12)
    sheet.text(STAR_X, 298, "see the table", "middle", size=12)
    sheet.text(STAR_X, 618, "GND", "middle", bold=True)
    sheet.text(BOARD_LEFT + 8, 618, "5 V", bold=True)
    sheet.wire("thin", (BOARD_LEFT, 612), (456, 612))
    sheet.flag(456, 612, "5 V")


def bridge(sheet: Sheet, channel: int) -> None:
    """One full bridge, its pump with the capacitor, and its way to the rails."""
    top = row(channel)
    for y, rail, kind in ((top + 8, PLUS_RAIL, "plus"), (top + 66, ZERO_RAIL, "zero")):
        sheet.wire(kind, (BRIDGE_RIGHT, y), (rail, y))
        sheet.dot(rail, y)
    for y in (top + 25, top + 49):
        sheet.wire("thin", (BRIDGE_RIGHT, y), (1118, y))
    sheet.capacitor(1054, top + 25, top + 49)
    sheet.dot(1054, top + 25, 3)
    sheet.dot(1054, top + 49, 3)
    sheet.pieces.append(
        f'<circle cx="1118" cy="{top + 37}" r="24" fill="#f3f1ea" stroke="{INK}" stroke-width="1.8"/>'
    )
    sheet.text(1118, top + 43, f"M{channel}", "middle", bold=True)
    sheet.box(BRIDGE_LEFT, top, BRIDGE_RIGHT - BRIDGE_LEFT, 74)
    sheet.text(966, top + 33, "bridge", "middle", size=13)
    sheet.text(966, top + 54, str(channel), "middle", size=17, bold=True)
    for y, words in ((14, "EN"), (36, "fwd"), (58, "rev")):
        sheet.text(BRIDGE_LEFT + 6, top + y + 5, words, size=12)
    for y, words in ((8, "+"), (25, "A"), (49, "B"), (66, "0 V")):
        sheet.text(BRIDGE_RIGHT - 5, top + y + (7 if y == 8 else 4), words, "end", size=12)


def power(sheet: Sheet) -> None:
    """Pump supply, fuse, emergency switch, the two rails and the star point."""
    sheet.wire("plus", (330, PLUS_Y), (PLUS_RAIL, PLUS_Y), (PLUS_RAIL, row(1) + 8))
    sheet.wire("zero", (330, ZERO_Y), (ZERO_RAIL, ZERO_Y), (ZERO_RAIL, row(1) + 66))
    sheet.wire("zero", (STAR_X, 620), (STAR_X, ZERO_Y))
    sheet.text(STAR_X - 12, 760, "the board's ground:", "end", size=13)
    sheet.text(STAR_X - 12, 776, "one wire of its own", "end", size=13)
    sheet.text(STAR_X - 12, 792, "to the star point", "end", size=13)
    sheet.dot(STAR_X, ZERO_Y, 10)
    sheet.text(STAR_X, ZERO_Y + 28, "star point, at the supply's minus", "middle", bold=True)
    sheet.box(150, 920, 180, 140, "pump supply", "finished, approved,")
    sheet.text(240, 974, "DC, voltage as in", "middle", size=13)
    sheet.text(240, 991, "power.md; mains", "middle", size=13)
    sheet.text(240, 1008, "side stays closed", "middle", size=13)
    sheet.text(320, PLUS_Y + 6, "+", "end", size=18, bold=True)
    sheet.text(320, ZERO_Y + 6, "−", "end", size=18, bold=True)
    sheet.box(580, PLUS_Y - 12, 70, 24)
    sheet.wire("plus", (580, PLUS_Y), (650, PLUS_Y))
    sheet.text(615, PLUS_Y + 30, "fuse", "middle", bold=True)
    sheet.pieces.append(f'<rect x="730" y="{PLUS_Y - 6}" width="70" height="12" fill="#fff"/>')
    sheet.wire("plus", (730, PLUS_Y), (802, PLUS_Y - 14))
    sheet.wire("plus", (796, PLUS_Y), (796, PLUS_Y - 12))
    sheet.wire("thin", (766, PLUS_Y - 8), (766, PLUS_Y - 30))
    sheet.pieces.append(
        f'<path d="M748 {PLUS_Y - 30} h36 a18 14 0 0 0 -36 0 z" fill="#a8321f" stroke="{INK}" '
        'stroke-width="1.5"/>'
    )
    sheet.text(736, PLUS_Y - 44, "emergency switch,", "end", bold=True)
    sheet.text(736, PLUS_Y - 26, "opens when pressed", "end", bold=True)
    sheet.capacitor(950, PLUS_Y, ZERO_Y)
    sheet.dot(950, PLUS_Y)
    sheet.dot(950, ZERO_Y)
    sheet.text(966, 988, "at each bridge: 100 µF", size=13)
    sheet.text(966, 1005, "beside 100 nF", size=13)
    sheet.text(1054, row(1) - 12, "100 nF", "middle", size=12)
    sheet.text(1118, row(1) - 12, "pump", "middle", size=13)
    sheet.text(PLUS_RAIL, row(1) - 12, "+", "middle", size=18, bold=True)
    sheet.text(ZERO_RAIL, row(1) - 12, "0 V", "middle", size=15, bold=True)
    sheet.text(BRIDGE_LEFT, row(1) - 30, "full bridges,", size=13)
    sheet.text(BRIDGE_LEFT, row(1) - 14, "logic supply 5 V", size=13)


def legend(sheet: Sheet) -> None:
    """What the lines and signs mean."""
    y = 1102
    sheet.wire("thin", (20, y - 24), (WIDTH - 20, y - 24))
    x = 26
    for kind, words in (
        ("plus", "pump +"),
        ("zero", "0 V"),
        ("speed", "SPEED"),
        ("signal", "signal"),
        ("usb", "cable"),
    ):
        sheet.wire(kind, (x, y), (x + 46, y))
        sheet.text(x + 54, y + 5, words, size=13)
        x += 72 + 7 * len(words)
    sheet.dot(x, y)
    sheet.text(x + 12, y + 5, "joined (a crossing without is not)", size=13)
    sheet.ground(x + 246, y - 6)
    sheet.text(x + 262, y + 5, "board's GND", size=13)
    sheet.flag(x + 402, y, "5 V")
    sheet.text(x + 408, y + 5, "board's 5 V", size=13)
    sheet.resistor(x + 506, y)
    sheet.text(x + 520, y + 5, "10 kΩ to 0 V", size=13)


def main() -> None:
    """Writes both files."""
    wiring = read(HEADER.read_text("utf-8"))
    PAGE.write_text(fill(PAGE.read_text("utf-8"), wiring), "utf-8")
    PICTURE.write_text(draw(wiring), "utf-8")


if __name__ == "__main__":
    main()
