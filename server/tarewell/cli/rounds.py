"""`tarewell round`: glasses from recipes, one after the other, and what guests have had."""

import re
from collections.abc import Iterable
from typing import Annotated, Any
from urllib.parse import quote

import typer
from rich.table import Table

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .failures import CliError, ExitCode
from .following import console, start_pour
from .menu_tables import known
from .round_following import RoundCommandName, follow_round
from .tables import mass, plain, sentence

rounds = typer.Typer(
    help="Rounds: glasses from recipes, one after the other.", no_args_is_help=True, add_completion=False
)

_SLUG = r"([a-z0-9]+(?:-[a-z0-9]+)*)"
_WANTED = re.compile(rf"{_SLUG}(?:=(\d{{1,3}}))?", re.ASCII)
_INSTEAD = re.compile(rf"{_SLUG}={_SLUG}", re.ASCII)

Wanted = Annotated[
    list[str], typer.Argument(metavar="RECIPE[=COUNT]...", help="Such as green-room-cooler=3 second-bell.")
]
Guest = Annotated[str | None, typer.Option(help="Label of the guest: a seat or a number, not a name.")]
Glass = Annotated[str | None, typer.Option(metavar="ID", help="Another kind of glass for all.")]
VolumeMl = Annotated[
    float | None, typer.Option("--volume-ml", metavar="ML", min=1, help="Volume of each without ice.")
]
Instead = Annotated[
    list[str] | None,
    typer.Option(metavar="WANTED=USED", help="Substitute a liquid; repeatable."),
]
EthanolMostG = Annotated[
    float | None,
    typer.Option(
        "--ethanol-most-g", metavar="G", min=0, help="Shrink each drink until it holds no more ethanol."
    ),
]

CAUTION = "A count does not measure anybody's state; your local law and the host's judgement come first."


def parse_wanted(text: str) -> dict[str, Any]:
    """A recipe and the number of glasses in the API's form.

    Raises:
        typer.BadParameter: another form.
    """
    match = _WANTED.fullmatch(text)
    if match is None:
        raise typer.BadParameter(
            f"expected RECIPE or RECIPE=COUNT, such as green-room-cooler=3, got '{text}'"
        )
    return {"recipe_id": match[1], "count": int(match[2] or 1)}


def parse_instead(texts: Iterable[str]) -> dict[str, str]:
    """Liquids of the recipes and their substitutes.

    Raises:
        typer.BadParameter: another form, or a duplicate liquid.
    """
    found: dict[str, str] = {}
    for text in texts:
        match = _INSTEAD.fullmatch(text)
        if match is None:
            raise typer.BadParameter(
                f"--instead: expected WANTED=USED, such as foyer-soda=house-water, got '{text}'"
            )
        if match[1] in found:
            raise typer.BadParameter(f"--instead: {match[1]} is given twice; leave one out")
        found[match[1]] = match[2]
    return found


def _entries(wanted: list[str], each: Json) -> list[Json]:
    """The glasses in the API's form; `each` applies to all of them, without its None values."""
    said = {name: value for name, value in each.items() if value is not None}
    return [parse_wanted(text) | said for text in wanted]


@rounds.command()
def check(
    wanted: Wanted,
    glass: Glass = None,
    volume_ml: VolumeMl = None,
    instead: Instead = None,
    max_ethanol_g: EthanolMostG = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show how many of these glasses can be poured now; pours nothing."""
    each = {"glass_id": glass, "volume_ml": volume_ml, "max_ethanol_g": max_ethanol_g}
    body = {"glasses": _entries(wanted, each | {"instead": parse_instead(instead or ())})}
    with DaemonClient(url, token) as client:
        found = client.ask("POST", "/v1/rounds/check", json=body).json()
    out = console()
    sentence(out, found["detail"])
    if found["time_s"]:
        out.print(f"about {found['time_s'] / 60:.1f} min for those")
    if found["short"]:
        raise CliError(f"{len(found['short'])} cannot be poured now", ExitCode.REFUSED)


@rounds.command()
def pour(
    wanted: Wanted,
    auto: Annotated[bool, typer.Option("--auto", help="Begin a pour once the right glass is on.")] = False,
    guest: Guest = None,
    glass: Glass = None,
    volume_ml: VolumeMl = None,
    instead: Instead = None,
    max_ethanol_g: EthanolMostG = None,
    allow_short: Annotated[
        bool, typer.Option("--allow-short", help="Leave out glasses that cannot be poured now.")
    ] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Begin a round and follow it. Enter continues; type hold, restart, skip or stop; Ctrl-C stops it."""
    each = {"guest": guest, "glass_id": glass, "volume_ml": volume_ml, "max_ethanol_g": max_ethanol_g}
    entries = _entries(wanted, each | {"instead": parse_instead(instead or ())})
    with DaemonClient(url, token) as client:
        pour_round(client, {"glasses": entries, "auto_start": auto, "allow_short": allow_short})


def pour_round(client: DaemonClient, body: Json) -> None:
    """Begin a round, follow it and show how it went.

    Raises:
        CliError: it was refused, or did not end complete.
    """
    out = console()
    ended = follow_round(client, start_pour(client, body, "/v1/rounds"), out)
    out.print(round_table(ended))
    if ended["state"] != "complete":
        code = ExitCode.STOPPED if ended["state"] == "stopped" else ExitCode.ABORTED
        raise CliError(f"the round ended {ended['state']}; see {client.url}{ended['links']['self']}", code)


@rounds.command()
def show(
    round_id: Annotated[str | None, typer.Argument(help="Default: the newest.")] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show a round: each glass as planned and as delivered."""
    with DaemonClient(url, token) as client:
        if round_id is not None:
            shown = client.get(f"/v1/rounds/{round_id}")
        elif newest := client.get("/v1/rounds", params={"limit": 1}):
            shown = newest[0]
        else:
            raise CliError("there is no round yet; `tarewell round pour RECIPE` begins one")
    out = console()
    out.print(plain(f"round {shown['id']}, {shown['state']}"))
    out.print(round_table(shown))
    if (progress := shown["progress"]) is not None:
        out.print(plain(f"glass {progress['glass']}: {progress['prompt']}"))
        if progress["detail"]:
            sentence(out, progress["detail"], "yellow")
        if progress["remaining_s"] is not None:
            out.print(f"about {progress['remaining_s'] / 60:.1f} min to go")


@rounds.command()
def command(
    round_id: Annotated[str, typer.Argument(help="The round under way; `tarewell status` shows it.")],
    what: Annotated[RoundCommandName, typer.Argument()],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Start a glass, confirm a step by hand, hold, restart, skip a glass, or stop a round."""
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", f"/v1/rounds/{round_id}/{what}").json()
    typer.echo(f"round {round_id}: {shown['state']}")


@rounds.command()
def guest(
    label: Annotated[str, typer.Argument(help="As given with the glass.")],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show what was poured for a guest."""
    with DaemonClient(url, token) as client:
        shown = client.get(f"/v1/guests/{_quoted(label)}")
    out, limit = console(), shown["limit_standard_drinks"]
    of = "no limit is set" if limit is None else f"the limit is {limit:g}"
    line = (
        f"{shown['guest']}: {shown['standard_drinks']:.2f} standard drinks in {shown['window_h']:g} h; {of}"
    )
    sentence(out, line)
    if shown["waiting_glass"] is not None:
        out.print(f"glass {shown['waiting_glass']} waits for a release", style="yellow")
    for release in shown["releases"]:
        sentence(out, f"released {release['at']} by {release['released_by']}: {release['reason']}")
    sentence(out, CAUTION)


@rounds.command()
def release(
    label: Annotated[str, typer.Argument(help="The guest whose glass waits.")],
    released_by: Annotated[str, typer.Option("--by", help="Who decides.")],
    reason: Annotated[str, typer.Option("--why", help="The reason, which is recorded.")],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Release the glass that waits because of the host's limit."""
    body = {"released_by": released_by, "reason": reason}
    with DaemonClient(url, token) as client:
        shown = client.ask("POST", f"/v1/guests/{_quoted(label)}/release", json=body).json()
    typer.echo(f"glass {shown['glass']} is released")


def _quoted(label: str) -> str:
    if "/" in label:
        raise typer.BadParameter("a guest's label must not contain a slash")
    return quote(label, safe="")


def round_table(shown: Json) -> Table:
    """One line for each glass, planned and delivered."""
    table = Table(box=None, padding=(0, 2, 0, 0))
    table.add_column("glass", justify="right")
    table.add_column("drink", overflow="fold")
    table.add_column("state", no_wrap=True)
    for name in ("planned\ng", "delivered\ng", "% vol", "standard\ndrinks", "sugar\ng"):
        table.add_column(name, justify="right", no_wrap=True)
    for glass in shown["glasses"]:
        held = glass["delivered"] or glass["planned"]
        name = glass["name"] if glass["guest"] is None else f"{glass['name']} ({glass['guest']})"
        table.add_row(
            str(glass["glass"]),
            plain(name),
            glass["state"].replace("_", " "),
            mass(glass["planned"]["mass_g"]),
            mass(None if glass["delivered"] is None else glass["delivered"]["mass_g"]),
            known(held["strength_percent_vol"], glass["strength_known"], 1),
            known(held["standard_drinks"], glass["strength_known"], 2),
            known(held["sugar_g"], glass["sugar_known"], 0),
        )
    return table
