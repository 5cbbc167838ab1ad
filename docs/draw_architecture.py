"""Writes the routes in docs/architecture.md, from a run, and the page's pictures."""

import ast
import sys
from functools import cache
from pathlib import Path

DOCS = Path(__file__).parent
SERVER = DOCS.parent / "server"
sys.path[:0] = [str(DOCS), str(DOCS.parent / "tests" / "support")]

from svg_sheet import Sheet  # noqa: E402

from hop_routes import PORT, watched  # noqa: E402
from hop_tracer import Call  # noqa: E402

ROOMS = {
    "device": "serial port, TCP, one link at a time",
    "quantities": "densities, strength, units",
    "weighing": "counts to grams: clock, calibration, lines, rest",
    "dosing": "one pour: states, cut-off, checks",
    "menu": "liquids, recipes, stock, evening",
    "rounds": "glass after glass",
    "machine": "the machine: events in, effects out",
    "operation": "carries out the effects; starts the front",
    "records": "SQLite: journal, rows, one writer thread",
    "exchange": "the border between the processes",
    "setup_file": "the set-up as TOML",
    "printing": "pages to print",
    "local_panel": "knob and display",
    "api": "routes, schemas, problems",
    "front": "HTTP server; the front's start and end",
}
"""The rooms of the daemon, and what they are for."""

LANES = [
    "port",
    "protocol",
    "device",
    "operation",
    "machine",
    "weighing",
    "dosing",
    "rounds",
    "records",
    "exchange",
    "api",
    "front",
]
"""The order in which a picture shows the rooms of a route."""

TITLES = {
    "sample": "From a sample on the line to a stop frame",
    "request": "From a request to its row",
    "recipe": "From a recipe to its glass",
    "alarm": "From an alarm to its reader",
}

INTROS = {
    "sample": """A glass is lifted in mid-dose. The sample that shows it comes in, and the stop goes out
before the call that delivered the bytes returns. A cut-off that is due between two samples goes out the
same way, from the timer.""",
    "request": """`POST /v1/pours` with an idempotency key, from the complete head of the request to the
transaction of its intent. The answer comes when that is on the disk.""",
    "recipe": """`POST /v1/rounds` names a recipe. It is read, compiled for its glass in the front (plain
functions of `menu` and `rounds`, so no hops), sent as a round, written, and poured once the glass is there.
Two intents are on the disk before the run frame goes out.""",
    "alarm": """The check that finds the lifted glass makes the alarm, which acts at once (the first route).
This is its way through the journal to whoever reads the stream of events.""",
}

ROLES = {
    "Link.data_received": "the port's callback: reads the clock once for all that came",
    "HostSession.receive": "the protocol without I/O: which sample, which answer, what is missing",
    "LineReader.feed": "pieces of any size become intact lines; noise is counted",
    "Interpreter._take_session": "one queue for all events; the link's tickets become the machine's",
    "Machine.handle": "the one machine: every event in order, each with its time",
    "Scale.take": "one clock, one calibration, one store of readings",
    "WriteResults.written": "what waited for the write",
    "Pouring.feed": "the pour under way, if any; its decisions become effects, its record is kept",
    "Pouring.begin": "its intent is on the disk: begin, unless it is too late",
    "Pour.handle": "the table of states of a pour",
    "Feeder.start": "one dose: the first feed",
    "PourChecks.glass": "is the glass still there, and still the same?",
    "MachineGuard.follow": "alarms follow what the pour decided",
    "Registry.follow": "the states of alarms, in one registry",
    "Link.send": "the frame is on the wire when this returns",
    "Outbox.ask": "only in an open session; order and retries; what a stop overtakes is dropped",
    PORT: "the port's transport writes; in this run a double of it",
    "Guard.__call__": "known host, token, no foreign page, a bounded body",
    "start": "the body is checked, volumes become grams",
    "SocketClient.ask": "over the socket, with a limit in time",
    "FrontConnection.data_received": "a front that is slow or broken delays nobody",
    "Interpreter.ask": "a number for the request, a future for the answer",
    "WaitingRequests.want": "a round asks for its pour like anybody else, before all others",
    "WaitingRequests.occupy": "nothing else begins until it is written",
    "Writer.write": "one thread, one transaction after the other",
    "Writer.keep_then": "the same, for what must not be lost",
    "begin_pour": "rows, event and seal, in one transaction",
    "Database.read": "a snapshot of the records, in a thread",
    "Store.menu": "the recipe with all that it is compiled against",
    "Rounds.begin": "the round under way",
    "Round.handle": "the table of states of a round",
    "RoundRun.feed": "the round's decisions become effects",
    "Pours.begin": "the pour under way",
    "Interpreter._take_writer_news": "the row is on the disk: tell everybody",
    "EventFeed.publish": "a queue for each reader, none of which can block",
    "FrontConnection._publish": "over the socket",
    "SocketClient.data_received": "the same feed on the other side",
    "send_marked": "what a browser may do with the answer",
}
"""What each hop is there for; one that is not named here says it by its docstring."""

MARK = "<!-- drawn from a run by `make diagram`; the rest of this page is not written by hand -->\n"

ROUTE = """
### {title}

{intro} {count} hops.

![{title}, {count} hops through the rooms](hops-{name}.svg)

| | function | in | what it is there for |
|---|---|---|---|
{rows}
"""


def room_of(module: str) -> str:
    """The room of a module; one that is no part of the program stands in for the port."""
    top, *rest = module.split(".")
    if top == "tarewell_protocol":
        return "protocol"
    return rest[0] if top == "tarewell" else "port"


def rooms_of(*modules: str) -> list[str]:
    """The rooms that are loaded with these modules, in their order."""
    found, waiting = set[Path](), [SERVER / Path(*module.split(".")).with_suffix(".py") for module in modules]
    while waiting:
        path = waiting.pop()
        if path not in found and path.is_file():
            found.add(path)
            waiting += _imported(path)
    rooms = {path.relative_to(SERVER).parts[1] for path in found}
    return [room for room in ROOMS if room in rooms]


@cache
def _imported(path: Path) -> list[Path]:
    """The modules of the server that a module imports when it is loaded."""
    found: list[Path] = []
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.Import):
            found += [_file(SERVER, name.name) for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = path.parents[node.level - 1] if node.level else SERVER
            module = node.module or ""
            found += [_file(base, module), *(_file(base, f"{module}.{name.name}") for name in node.names)]
    return found


def _file(base: Path, module: str) -> Path:
    return base.joinpath(*filter(None, module.split("."))).with_suffix(".py")


def svg(sheet: Sheet, width: float, height: float, label: str) -> str:
    """The picture as text."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'font-family="sans-serif" role="img" aria-label="{label}">'
    )
    ground = f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>'
    return "\n".join([head, ground, *sheet.pieces, "</svg>"]) + "\n"


def draw_processes() -> str:
    """The two processes with the rooms that each loads."""
    sheet = Sheet()
    machine, front = rooms_of("tarewell.operation.process"), rooms_of("tarewell.front.process")
    height = 40 + 22 * max(len(machine), len(front)) + 34
    for x, title, rooms, others in ((30, "front", front, machine), (570, "machine", machine, front)):
        sheet.box(x, 90, 400, height, f"{title} process", "bold: only here")
        for row, room in enumerate(rooms):
            y = 90 + 62 + 22 * row
            sheet.text(x + 20, y, room, size=13, bold=room not in others)
            sheet.text(x + 115, y, ROOMS[room], size=12)
    middle = 500.0
    for y, words, under in (
        (160, "requests", "state, events,"),
        (240, "changes", "results"),
    ):
        _arrow(sheet, 430, y, 570, y)
        _arrow(sheet, 570, y + 22, 430, y + 22)
        sheet.text(middle, y - 6, words, "middle", size=12)
        sheet.text(middle, y + 38, under, "middle", size=12)
    sheet.text(middle, 212, "answers", "middle", size=12)
    low = 90 + height
    sheet.box(30, 14, 400, 44, "people", "HTTP, server-sent events")
    sheet.box(570, 14, 400, 44, "board", "serial line or TCP; knob and display")
    for x in (230.0, 770.0):
        _arrow(sheet, x, 58, x, 88)
        _arrow(sheet, x + 16, 88, x + 16, 60)
    sheet.box(300, low + 42, 400, 44, "database", "SQLite in WAL mode")
    _arrow(sheet, 400, low + 40, 330, low + 2)
    sheet.text(316, low + 28, "reads", "end", size=12)
    _arrow(sheet, 670, low + 2, 600, low + 40)
    sheet.text(684, low + 28, "writes, one thread", size=12)
    return svg(sheet, 1000, low + 100, "Two processes, their rooms, and what crosses between them")


def _arrow(sheet: Sheet, x: float, y: float, to_x: float, to_y: float) -> None:
    sheet.wire("thin", (x, y), (to_x, to_y))
    length = ((to_x - x) ** 2 + (to_y - y) ** 2) ** 0.5
    along_x, along_y = (to_x - x) / length * 8, (to_y - y) / length * 8
    left = (to_x - along_x - along_y / 2, to_y - along_y + along_x / 2)
    right = (to_x - along_x + along_y / 2, to_y - along_y - along_x / 2)
    sheet.wire("thin", left, (to_x, to_y), right)


def draw_route(title: str, hops: list[Call]) -> str:
    """The hops from top to bottom, each in the lane of its room."""
    sheet = Sheet()
    rooms = [room for room in LANES if room in {room_of(hop.module) for hop in hops}]
    lane, row, top = 1000 / len(rooms), 26.0, 50.0
    height = top + row * (len(hops) + 0.5)
    for number, room in enumerate(rooms):
        if number % 2 == 0:
            sheet.pieces.append(
                f'<rect x="{lane * number:g}" y="0" width="{lane:g}" height="{height:g}" fill="#f3f1ea"/>'
            )
        sheet.text(lane * (number + 0.5), 26, room, "middle", bold=True)
    points = [(lane * (rooms.index(room_of(hop.module)) + 0.5), top + row * n) for n, hop in enumerate(hops)]
    sheet.wire("signal", *points)
    for number, ((x, y), hop) in enumerate(zip(points, hops, strict=True), start=1):
        sheet.dot(x, y)
        is_right = x > 600
        words = f"{number}  {_shown(hop)}"
        width = 7.0 * len(words)
        left = x - 10 - width if is_right else x + 8
        sheet.pieces.append(
            f'<rect x="{left:g}" y="{y - 9:g}" width="{width + 4:g}" height="18" fill="#fff" opacity="0.8"/>'
        )
        sheet.text(x - 9 if is_right else x + 10, y + 5, words, "end" if is_right else "start", size=13)
    return svg(sheet, 1000, height, f"{title}, {len(hops)} hops")


def _shown(hop: Call) -> str:
    return "transport.write" if hop.name == PORT else hop.name


def list_route(name: str, hops: list[Call]) -> str:
    """The part of the page about a route."""
    rows = [
        f"| {number} | `{_shown(hop)}` | {_place(hop)} | {ROLES.get(hop.name) or hop.summary} |"
        for number, hop in enumerate(hops, start=1)
    ]
    return ROUTE.format(
        title=TITLES[name], intro=INTROS[name], count=len(hops), name=name, rows="\n".join(rows)
    )


def _place(hop: Call) -> str:
    if room_of(hop.module) == "port":
        return "the port"
    return f"`{hop.module.removeprefix('tarewell.').replace('.', '/')}.py`"


def files(routes: dict[str, list[Call]]) -> dict[str, str]:
    """The page and its pictures by their names in docs/."""
    by_hand, mark, _ = (DOCS / "architecture.md").read_text("utf-8").partition(MARK)
    page = by_hand + mark + "".join(list_route(name, hops) for name, hops in routes.items())
    pictures = {f"hops-{name}.svg": draw_route(TITLES[name], hops) for name, hops in routes.items()}
    return {"architecture.md": page, "architecture.svg": draw_processes(), **pictures}


if __name__ == "__main__":
    for name, text in files(watched()).items():
        (DOCS / name).write_text(text)
