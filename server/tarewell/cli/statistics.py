"""`tarewell statistics`: how far doses are from their targets."""

import json
from typing import Annotated, Any

import typer
from rich.table import Table

from .daemon_client import DEFAULT_URL, DaemonClient, Token, Url
from .following import console
from .history import Day, given
from .tables import mass, plain


def statistics(
    day: Day = None,
    channel: Annotated[int | None, typer.Option(min=1, help="This channel only.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="As the API gives them.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show the errors of each channel with each liquid, with control limits."""
    query = given(channel=channel, day=None if day is None else f"{day:%Y-%m-%d}")
    with DaemonClient(url, token) as client:
        found = client.get("/v1/statistics", params=query)
    if as_json:
        typer.echo(json.dumps(found, indent=2))
    elif found["errors"]:
        console().print(_table(found["errors"]))
    else:
        console().print("no doses")


def _table(errors: list[dict[str, Any]]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0))
    for name in ("channel", "doses", "mean\nerror g", "limits\ng", "beyond"):
        table.add_column(name, justify="right")
    table.add_column("liquid", overflow="fold")
    for row in errors:
        limits = row["limits"]
        table.add_row(
            str(row["channel"]),
            str(row["doses"]),
            mass(row["mean_error_g"], sign=True),
            "too few"
            if limits is None
            else f"{mass(limits['lower_g'], sign=True)} to {mass(limits['upper_g'], sign=True)}",
            str(row["beyond"]),
            plain(row["liquid_name"]),
        )
    return table
