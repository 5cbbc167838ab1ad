"""`tarewell recordings`: what the flight recorder kept around alarms."""

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Annotated, Any

import typer
from rich.table import Table
from rich.text import Text

from tarewell import __version__

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .following import console
from .tables import plain, sentence

recordings = typer.Typer(help="What the flight recorder kept around alarms.", add_completion=False)

SHOWN_EVERY_S = 0.5
"""Of samples that follow each other, one in this time is shown."""

LONGEST = 300
"""Characters of an entry that are shown."""


@recordings.callback(invoke_without_command=True)
def show_list(
    context: typer.Context,
    limit: Annotated[int, typer.Option(min=1, help="Maximum number.")] = 20,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """List recordings, newest first."""
    if context.invoked_subcommand is not None:
        return
    with DaemonClient(url, token) as client:
        found = client.get("/v1/recordings")[:limit]
    out = console()
    if not found:
        out.print("no recordings")
        return
    out.print(_table(found))
    sentence(out, "`tarewell recordings show ID` shows one, `tarewell replay ID` replays it")


def _table(found: list[Json]) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0))
    table.add_column("caused", no_wrap=True)
    table.add_column("s", justify="right", no_wrap=True)
    table.add_column("id, cause and pour", min_width=36, overflow="fold")
    for recording in found:
        told = Text(f"{recording['id']}\n").append(plain(_cause(recording)))
        if recording["pour_id"] is not None:
            told.append(plain(f"\npour {recording['pour_id']}"))
        table.add_row(_moment(recording), f"{recording['ends_s'] - recording['begins_s']:.0f}", told)
    return table


def _moment(recording: Json) -> str:
    return f"{datetime.fromisoformat(recording['caused_at']).astimezone():%Y-%m-%d %H:%M:%S}"


def _cause(recording: Json) -> str:
    return f"{recording['cause']}: {recording['message']}"


@recordings.command()
def show(
    recording_id: Annotated[str, typer.Argument(metavar="ID", help="As `tarewell recordings` shows it.")],
    as_csv: Annotated[bool, typer.Option("--csv", help="Every entry, as CSV.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show what happened, and what the machine answered, in s from the cause."""
    link = f"/v1/recordings/{recording_id}"
    with DaemonClient(url, token) as client:
        if as_csv:
            typer.echo(client.ask("GET", f"{link}.csv").text, nl=False)
            return
        recording: Json = client.get(link)
    out = console()
    sentence(out, f"{_moment(recording)}  {_cause(recording)}")
    if "pour_id" in recording:
        sentence(out, f"pour {recording['pour_id']}")
    if recording["program_version"] != __version__:
        sentence(
            out, f"written by program version {recording['program_version']}, not {__version__}", "yellow"
        )
    for line in _lines(recording):
        out.print(plain(line), soft_wrap=True)
    sentence(out, "most samples and the ends of long lines are left out: --csv has all")
    sentence(out, f"`tarewell replay {recording_id}` replays it")


def _lines(recording: Json) -> Iterator[str]:
    """The entries, thinned out. The last is `ends_s` after the cause."""
    entries: list[dict[str, Any]] = recording["entries"]
    caused_s = entries[-1]["host_s"] - recording["ends_s"] if entries else 0.0
    due_s, before = float("-inf"), None
    for entry in entries:
        is_sample = entry["what"] == "sample"
        state = (entry["running"], entry["flags"]) if is_sample else None
        if is_sample and state == before and entry["host_s"] < due_s:
            continue
        if is_sample:
            due_s, before = entry["host_s"] + SHOWN_EVERY_S, state
        yield f"{entry['host_s'] - caused_s:+8.3f}  {_told(entry)}"


def _told(entry: dict[str, Any]) -> str:
    if entry["what"] != "sample":
        text = _text({"is": entry["what"], **entry.get("detail", {})})
        return text if len(text) <= LONGEST else f"{text[:LONGEST]} ..."
    mass = f"{round(entry['gross_g'], 2) + 0.0:.2f} g" if "gross_g" in entry else f"{entry['counts']} counts"
    running = f", running: {entry['running']}" if entry["running"] else ""
    return f"sample {mass}{running}" + (f", {entry['flags']}" if entry["flags"] else "")


def _text(value: Any) -> str:
    """Objects as the program writes them, without what is null."""
    match value:
        case {"is": kind, **held}:
            told = [f"{name}={_text(item)}" for name, item in held.items() if item is not None]
            return f"{kind}({', '.join(told)})"
        case dict():
            return "{" + ", ".join(f"{key}: {_text(item)}" for key, item in value.items()) + "}"
        case list():
            return f"[{', '.join(map(_text, value))}]"
    return json.dumps(value, ensure_ascii=False)
