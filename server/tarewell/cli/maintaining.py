"""`tarewell prime`, `flush`, `purge` and `change-tube`: maintenance of one channel."""

from enum import StrEnum
from typing import Annotated

import typer

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .failures import CliError
from .following import console, follow, outcome_code, start_pour
from .tables import mass, print_needs, sentence

Channel = Annotated[int, typer.Argument(min=1, max=255, help="The channel's number.")]

CLEANER_CAUTION = (
    "Caution: do not drink from this cup. For amount, strength, time and protection follow the cleaner's "
    "label and your local code; never mix cleaners. Then flush with water, purge and prime."
)


class FlushAgent(StrEnum):
    """The agent; a cleaner is anything unfit to drink."""

    WATER = "water"
    CLEANER = "cleaner"


def prime(
    channel: Channel,
    amount_g: Annotated[
        float | None, typer.Option("--amount-g", min=2, help="Mass that must arrive, in g.")
    ] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Fill a tube with its liquid. Put a cup on the platform; Ctrl-C stops it."""
    _maintain(channel, "prime", {"amount_g": amount_g}, url, token)


def flush(
    channel: Channel,
    agent: Annotated[FlushAgent, typer.Option(help="Liquid at the tube's end.")],
    amount_g: Annotated[
        float | None, typer.Option("--amount-g", min=2, help="Mass in g; no more than the cup takes.")
    ] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Run water or a cleaner through a channel. Put a cup on the platform; Ctrl-C stops it."""
    if agent is FlushAgent.CLEANER:
        sentence(console(), CLEANER_CAUTION, "yellow")
    _maintain(channel, "flush", {"agent": agent, "amount_g": amount_g}, url, token)


def purge(
    channel: Channel,
    max_g: Annotated[float | None, typer.Option("--most-g", min=2, help="Maximum mass, in g.")] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Empty a tube. Lift its end out of the liquid, put a cup on the platform; Ctrl-C stops it."""
    _maintain(channel, "purge", {"max_g": max_g}, url, token)


def change_tube(channel: Channel, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Say that a channel has a new tube, so that what the old one taught and held is forgotten."""
    with DaemonClient(url, token) as client:
        need = client.ask("POST", f"/v1/channels/{channel}/change-tube").json()
    print_needs(console(), [need])


def _maintain(channel: int, what: str, options: Json, url: str, token: str | None) -> None:
    body = {name: value for name, value in options.items() if value is not None}
    out = console()
    with DaemonClient(url, token) as client:
        started = start_pour(client, body, f"/v1/channels/{channel}/{what}")
        ended = follow(client, started, out)
        needs = client.get("/v1/maintenance")
    if ended["state"] != "complete":
        raise CliError(
            f"the {what} ended {ended['state']} ({ended['cause']}) after {mass(ended['delivered_g'])} g; "
            f"see {url}{ended['links']['self']}",
            outcome_code(ended),
        )
    out.print(f"{what} of channel {channel}: {mass(ended['delivered_g'])} g")
    print_needs(out, [entry for entry in needs if entry["channel"] == channel])
