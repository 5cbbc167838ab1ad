"""`tarewell command` and `tarewell status`: give a pour a command, and show the state of the machine."""

from typing import Annotated

import typer

from .daemon_client import DEFAULT_URL, DaemonClient, Token, Url
from .following import PourCommandName, console, why_held
from .tables import mass, plain, print_needs, sentence


def command(
    pour_id: Annotated[str, typer.Argument(help="The pour under way; `tarewell status` shows it.")],
    what: Annotated[PourCommandName, typer.Argument()],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Hold, restart, stop or abort a pour."""
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", f"/v1/pours/{pour_id}/{what}").json()
    typer.echo(f"pour {pour_id}: {shown['state']}")


def status(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Show the link, the scale, the pour under way, and what blocks a pour."""
    with DaemonClient(url, token) as client:
        machine = client.get("/v1/machine")
        needs = client.get("/v1/maintenance")
    out, board = console(), machine["link"]["board"]
    out.print(plain(f"machine   {machine['machine_id']}"))
    named = "" if board is None else f", board {board['board_id']}, firmware {board['firmware']}"
    out.print(plain(f"link      {machine['link']['state']}{named} ({machine['link']['reason']})"))
    if board is not None and (tested := board["self_test"]) is not None:
        found = f"program {tested['flash']} ({tested['flash_crc']}), memory {tested['ram']}"
        out.print(plain(f"self-test {found}, built with settings {tested['build']}"))
    out.print(f"scale     {'calibrated' if machine['calibrated'] else 'not calibrated'}")
    if machine["latched"]:
        out.print("stop      the emergency stop is latched", style="red")
    for alarm in machine["alarms"]:
        if alarm["state"] != "shelved":
            sentence(out, f"alarm     {alarm['text']}", "red")
    if machine["pour_id"] is not None:
        with DaemonClient(url, token) as client:
            pour = client.get(machine["pour"])
        out.print(f"pour      {pour['id']}, {pour['state']}, target {mass(pour['target_g'])} g")
        if pour["state"] == "held":
            sentence(out, f"held      {why_held(pour)}", "yellow")
    if machine["round"] is not None:
        with DaemonClient(url, token) as client:
            shown = client.get(machine["round"])
        out.print(plain(f"round     {shown['id']}, {shown['state']}"))
    for blocker in machine["blockers"]:
        sentence(out, f"blocked   {blocker}", "yellow")
    if not machine["blockers"] and machine["pour_id"] is None and machine["round"] is None:
        out.print("ready     a pour can start", style="green")
    print_needs(out, needs)
