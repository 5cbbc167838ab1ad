"""`tarewell stock`: bottles on the shelf and on the channels."""

import json
from typing import Annotated
from urllib.parse import quote

import typer

from .amounts import parse_content
from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .following import console
from .menu import AsJson
from .menu_tables import movement_table, stock_table
from .tables import mass, print_needs, sentence

stock = typer.Typer(
    help="The bottles: their contents and places.", no_args_is_help=True, add_completion=False
)

BottleId = Annotated[str, typer.Argument(help="Id of the bottle.")]
Channel = Annotated[int, typer.Argument(min=1, help="The channel's number.")]


@stock.command()
def show(as_json: AsJson = False, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """List the liquids with their bottles."""
    with DaemonClient(url, token) as client:
        shown = client.get("/v1/stock")
        recipes = [] if as_json else client.get("/v1/recipes")
    if as_json:
        typer.echo(json.dumps(shown, indent=2))
    elif shown["liquids"]:
        console().print(stock_table(shown["liquids"], recipes))
    else:
        console().print(
            "no liquids yet; `tarewell menu import FILE` imports some, `tarewell menu example` prints one"
        )


@stock.command()
def add(
    bottle: BottleId,
    liquid: Annotated[str, typer.Argument(help="Id of the liquid in it.")],
    full: Annotated[str, typer.Argument(metavar="FULL", help="Capacity, such as 700ml or 850g.")],
    content_g: Annotated[float | None, typer.Option(min=0, help="Content in g; default full.")] = None,
    low_g: Annotated[float | None, typer.Option(min=0, help="Counts as low from here down.")] = None,
    tare_g: Annotated[float | None, typer.Option(min=0, help="Mass of the empty bottle.")] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Put a new bottle on the shelf."""
    body: Json = {"liquid_id": liquid, **parse_content(full)}
    body |= {"content_g": content_g, "low_g": low_g, "tare_g": tare_g}
    with DaemonClient(url, token) as client:
        shown = client.ask("PUT", f"/v1/bottles/{bottle}", json=body, headers={"If-None-Match": "*"}).json()
    _print(shown)


@stock.command()
def mount(bottle: BottleId, channel: Channel, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Mount a bottle on a channel that has none."""
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", f"/v1/bottles/{bottle}/mount", json={"channel": channel}).json()
        needs = client.get("/v1/maintenance")
    _print_mounted(shown, needs)


@stock.command()
def unmount(bottle: BottleId, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Put a bottle back on the shelf."""
    with DaemonClient(url, token) as client:
        _print(client.ask("POST", f"/v1/bottles/{bottle}/unmount").json())


@stock.command()
def swap(
    channel: Channel,
    bottle: BottleId,
    emptied: Annotated[bool, typer.Option("--emptied", help="The old bottle is empty.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Swap the bottle on a channel."""
    body: Json = {"bottle_id": bottle, "emptied": emptied}
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", f"/v1/channels/{channel}/swap", json=body).json()
        needs = client.get("/v1/maintenance")
    _print_mounted(shown, needs)


@stock.command()
def weigh(
    bottle: BottleId,
    gross_g: Annotated[float | None, typer.Argument(min=0, help="Bottle and content, in g.")] = None,
    content_g: Annotated[float | None, typer.Option(min=0, help="Or the content alone, in g.")] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Correct the content of a bottle by weighing it."""
    if (gross_g is None) == (content_g is None):
        raise typer.BadParameter("give the mass of bottle and content, or --content-g, not both")
    body = {"gross_g": gross_g} if content_g is None else {"content_g": content_g}
    with DaemonClient(url, token) as client:
        _print(client.ask("POST", f"/v1/bottles/{bottle}/weigh", json=body).json())


@stock.command()
def movements(
    bottle: BottleId,
    limit: Annotated[int, typer.Option(min=1, help="Maximum number.")] = 20,
    as_json: AsJson = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """List the movements of a bottle, newest first."""
    with DaemonClient(url, token) as client:
        moved = client.get(f"/v1/bottles/{quote(bottle, safe='')}/movements", params={"limit": limit})
    if as_json:
        typer.echo(json.dumps(moved, indent=2))
    else:
        console().print(movement_table(moved) if moved else "no movements")


@stock.command()
def discard(bottle: BottleId, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Write a bottle off, with its content; its record stays."""
    with DaemonClient(url, token) as client:
        _print(client.ask("DELETE", f"/v1/bottles/{bottle}").json())


def _print_mounted(bottle: Json, needs: list[Json]) -> None:
    _print(bottle)
    print_needs(console(), [entry for entry in needs if entry["channel"] == bottle["channel"]])


def _print(bottle: Json) -> None:
    place = "on the shelf" if bottle["channel"] is None else f"on channel {bottle['channel']}"
    held = f"{mass(bottle['content_g'])} g of {bottle['liquid_id']}, {bottle['level']}"
    sentence(console(), f"{bottle['id']}: {held}, {place}")
