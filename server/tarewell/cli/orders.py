"""`tarewell orders`: the orders of guests, released into rounds or sent back; their service."""

from datetime import datetime
from typing import Annotated

import typer
from rich.table import Table

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .failures import CliError
from .following import console
from .rounds import pour_round
from .tables import plain

orders = typer.Typer(help="Orders of guests: list, release, send back.", add_completion=False)


@orders.callback(invoke_without_command=True)
def show(context: typer.Context, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """List the orders in line, then those that are ready."""
    if context.invoked_subcommand is not None:
        return
    with DaemonClient(url, token) as client:
        found = client.get("/v1/orders")
    out = console()
    if not found:
        out.print("no order waits")
        return
    table = Table(box=None, padding=(0, 2, 0, 0))
    table.add_column("number", justify="right")
    for name in ("drink", "for", "state", "expected"):
        table.add_column(name, overflow="fold")
    for order in found:
        table.add_row(
            str(order["number"]),
            plain(order["name"]),
            plain(order["guest"] or ""),
            order["state"].replace("_", " ") + (", look first" if order["bar_looks"] else ""),
            "" if order["expected_at"] is None else _clock(order["expected_at"]),
        )
    out.print(table)


def _clock(text: str) -> str:
    return f"{datetime.fromisoformat(text).astimezone():%H:%M}"


@orders.command(name="open")
def open_(
    title: Annotated[str, typer.Argument(help="For people, such as the play and the night.")],
    guests: Annotated[bool, typer.Option("--guests", help="Let guests order by their link.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Open a service of the bar; its orders are numbered from 1."""
    with DaemonClient(url, token) as client:
        client.ask("POST", "/v1/service/open", json={"title": title, "guests_may_order": guests})
    console().print(plain(f"open: {title}"))


@orders.command()
def close(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Close the service: what still waits is sent back, and the guests' link ends."""
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", "/v1/service/close").json()
    console().print(plain(f"closed: {shown['title']}"))


@orders.command()
def link(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Make a new link for guests; an earlier one ends."""
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", "/v1/service/link").json()
    typer.echo(f"{url}{shown['path']}")


@orders.command()
def release(
    numbers: Annotated[list[int] | None, typer.Argument(help="Default: all that wait.")] = None,
    auto: Annotated[bool, typer.Option("--auto", help="Begin a pour once the right glass is on.")] = False,
    allow_short: Annotated[
        bool, typer.Option("--allow-short", help="Leave those waiting that cannot be poured now.")
    ] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Begin a round of orders and follow it, as `tarewell round pour` does."""
    with DaemonClient(url, token) as client:
        wanted = numbers or [order["number"] for order in client.get("/v1/orders") if _waits(order)]
        if not wanted:
            raise CliError("no order waits; `tarewell orders` lists them")
        pour_round(client, {"orders": wanted, "auto_start": auto, "allow_short": allow_short})


def _waits(order: Json) -> bool:
    return order["state"] in ("waiting", "next")


@orders.command()
def send_back(
    number: Annotated[int, typer.Argument(help="As `tarewell orders` shows it.")],
    reason: Annotated[str, typer.Option("--why", help="The guest sees it.")],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Send an order back to its guest."""
    with DaemonClient(url, token) as client:
        found = {order["number"]: order for order in client.get("/v1/orders")}
        if number not in found:
            raise CliError(f"order {number} is not in line; `tarewell orders` lists them")
        path = f"/v1/orders/{found[number]['id']}/send-back"
        client.ask("POST", path, json={"reason": reason})
    typer.echo(f"order {number} is sent back")
