"""`tarewell history`: past pours."""

import json
from datetime import datetime
from typing import Annotated, Any

import typer

from .daemon_client import DEFAULT_URL, DaemonClient, Token, Url
from .following import console
from .tables import pour_table

MOMENTS = ["%Y-%m-%d", "%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]

Day = Annotated[
    datetime | None,
    typer.Option(formats=MOMENTS[:1], help="From midnight to midnight where the daemon runs."),
]


def history(
    since: Annotated[
        datetime | None, typer.Option(formats=MOMENTS, help="Begun at or after; local time.")
    ] = None,
    until: Annotated[datetime | None, typer.Option(formats=MOMENTS, help="Begun before; local time.")] = None,
    state: Annotated[
        str | None, typer.Option(help="open, complete, stopped, aborted or interrupted.")
    ] = None,
    channel: Annotated[int | None, typer.Option(min=1, help="With a dose from this channel.")] = None,
    day: Day = None,
    recipe: Annotated[str | None, typer.Option(help="Id of the recipe.")] = None,
    guest: Annotated[str | None, typer.Option(help="Whose glass of a round: label or seat.")] = None,
    alarm: Annotated[bool | None, typer.Option("--alarm/--no-alarm", help="Whether it raised one.")] = None,
    missed: Annotated[
        bool | None, typer.Option("--missed/--not-missed", help="Whether a dose missed its tolerance.")
    ] = None,
    limit: Annotated[int, typer.Option(min=1, help="Maximum number.")] = 20,
    as_json: Annotated[bool, typer.Option("--json", help="As the API gives them.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="All pours, a line for each dose.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """List pours, newest first."""
    if as_json and as_csv:
        raise typer.BadParameter("give --json or --csv, not both")
    query = given(
        state=state,
        channel=channel,
        recipe=recipe,
        guest=guest,
        alarm=alarm,
        out_of_tolerance=missed,
        day=None if day is None else f"{day:%Y-%m-%d}",
        since=_with_zone(since),
        until=_with_zone(until),
    )
    with DaemonClient(url, token) as client:
        if as_csv:
            typer.echo(client.ask("GET", "/v1/pours.csv", params=query).text, nl=False)
            return
        pours = _pages(client, query, limit)
    if as_json:
        typer.echo(json.dumps(pours, indent=2))
    else:
        console().print(pour_table(pours) if pours else "no pours")


def given(**query: Any) -> dict[str, Any]:
    """The parameters that have a value."""
    return {name: value for name, value in query.items() if value is not None}


def _with_zone(moment: datetime | None) -> str | None:
    """A local time with its offset from UTC."""
    return None if moment is None else moment.astimezone().isoformat()


def _pages(client: DaemonClient, query: dict[str, Any], limit: int) -> list[dict[str, Any]]:
    reply = client.ask("GET", "/v1/pours", params=query | {"limit": min(limit, 500)})
    pours: list[dict[str, Any]] = reply.json()
    while len(pours) < limit and "next" in reply.links:
        reply = client.ask("GET", reply.links["next"]["url"])
        pours += reply.json()
    return pours[:limit]
