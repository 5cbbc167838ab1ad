"""`tarewell menu`: drinks, plans, and the set-up as a file."""

import json
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any
from urllib.parse import quote

import typer
from rich.console import Console

from tarewell.menu.allergens import NOT_CHECKED
from tarewell.setup_file.document import json_schema_text
from tarewell.setup_file.example import INTERVAL_BAR

from .daemon_client import DEFAULT_URL, DaemonClient, Json, RefusedError, Token, Url
from .failures import CliError, ExitCode
from .following import console
from .menu_tables import allergens, change_table, known, menu_table, plan_table
from .tables import mass, plain, print_needs, sentence

menu = typer.Typer(
    help="The menu: drinks, plans, and the set-up as a file.", no_args_is_help=True, add_completion=False
)

AsJson = Annotated[bool, typer.Option("--json", help="The API's response.")]

CAUTION = "Strength, sugar and allergens are as entered; the label and your local law come first."


class Retired(StrEnum):
    """The kinds of items that can be retired."""

    LIQUID = "liquid"
    GLASS = "glass"
    RECIPE = "recipe"


_PATHS = {Retired.LIQUID: "/v1/liquids", Retired.GLASS: "/v1/glasses", Retired.RECIPE: "/v1/recipes"}


@menu.command()
def show(as_json: AsJson = False, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """List the drinks with what can be poured now."""
    with DaemonClient(url, token) as client:
        shown = client.get("/v1/menu")
        needs = [] if as_json else client.get("/v1/maintenance")
    if as_json:
        typer.echo(json.dumps(shown, indent=2))
        return
    out = console()
    if not shown["drinks"]:
        out.print(
            "no recipes yet; `tarewell menu import FILE` imports some, `tarewell menu example` prints one"
        )
        return
    out.print(menu_table(shown["drinks"]))
    for drink in shown["drinks"]:
        for blocker in drink["blockers"]:
            sentence(out, f"{drink['name']}: {blocker['message']}", "yellow")
    print_needs(out, needs)
    sentence(out, f"A standard drink is {shown['standard_drink_g']:g} g of ethanol. {CAUTION}")


@menu.command()
def plan(
    recipe: Annotated[str, typer.Argument(help="Id of the recipe.")],
    glass: Annotated[str | None, typer.Option(help="Another glass, by its id.")] = None,
    volume_ml: Annotated[float | None, typer.Option("--volume-ml", min=1, help="Volume without ice.")] = None,
    max_ethanol_g: Annotated[
        float | None,
        typer.Option("--ethanol-most-g", min=0, help="Shrink the drink until it holds no more ethanol."),
    ] = None,
    as_json: AsJson = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show what a recipe makes in one glass; pours nothing."""
    asked = {"glass": glass, "volume": volume_ml, "max_ethanol_g": max_ethanol_g}
    query = {name: value for name, value in asked.items() if value is not None}
    with DaemonClient(url, token) as client:
        drink = client.get(f"/v1/recipes/{recipe}/plan", params=query)
    if as_json:
        typer.echo(json.dumps(drink, indent=2))
        return
    _show_plan(drink)


def _show_plan(drink: Json) -> None:
    out = console()
    glass = "" if drink["glass_id"] is None else f" in {drink['glass_id']}"
    out.print(plain(f"{drink['name']}{glass}"), style="bold")
    out.print(plan_table(drink))
    strength = known(drink["strength_percent_vol"], drink["strength_known"], 2)
    drinks = known(drink["standard_drinks"], drink["strength_known"], 2)
    out.print(f"volume    {drink['volume_ml']:.1f} ml ± {drink['volume_uncertainty_ml']:.1f} ml")
    out.print(f"strength  {strength} % vol, {drink['ethanol_g']:.1f} g of ethanol, {drinks} standard drinks")
    out.print(f"sugar     {known(drink['sugar_g'], drink['sugar_known'], 1)} g")
    sentence(out, f"allergens {allergens(drink)}")
    if drink["allergens_unknown"]:
        sentence(out, f"          {NOT_CHECKED}: {', '.join(drink['allergens_unknown'])}")
    for name in ("cost", "price"):
        if drink[name] is not None:
            out.print(f"{name:<9} {drink[name]:.2f}")
    if drink["time_s"] is not None:
        out.print(f"time      {mass(drink['time_s'])} s for the doses")
    for note in drink["notes"]:
        sentence(out, f"note      {note}")
    for blocker in drink["blockers"]:
        sentence(out, f"blocked  {blocker['message']}", "yellow")
    sentence(out, CAUTION)


@menu.command(name="export")
def export_(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Print the whole set-up as TOML: liquids, glasses, recipes, channels, bottles."""
    with DaemonClient(url, token) as client:
        typer.echo(client.ask("GET", "/v1/setup").text, nl=False)


@menu.command(name="import")
def import_(
    file: Annotated[Path, typer.Argument(help="A set-up in TOML, see docs/setup-file.md.")],
    apply: Annotated[
        bool, typer.Option("--apply", help="Apply the changes; otherwise only show them.")
    ] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show what a set-up file would change, and with --apply change it: all of it or nothing."""
    try:
        content = file.read_bytes()
    except OSError as error:
        raise CliError(
            f"{file} cannot be read: {error.strerror}; name a set-up file", ExitCode.USAGE
        ) from error
    with DaemonClient(url, token) as client:
        try:
            reply = client.ask("POST", "/v1/setup/import", params={"dry_run": not apply}, content=content)
        except RefusedError as error:
            _print_faults(file, error.problem)
            raise
        needs = client.get("/v1/maintenance") if apply else []
    _show_import(reply.json(), file)
    print_needs(console(), needs)


def _print_faults(file: Path, problem: Json) -> None:
    """Print each fault on a line of its own, in the format of compilers."""
    err = Console(stderr=True, highlight=False)
    for fault in problem.get("errors", []):
        where = f"{file}:{fault['line']}" if "line" in fault else str(file)
        sentence(err, ": ".join(part for part in (where, fault["pointer"], fault["detail"]) if part))


def _show_import(done: dict[str, Any], file: Path) -> None:
    out = console()
    if done["changes"]:
        out.print(change_table(done["changes"]))
    for note in done["notes"]:
        sentence(out, f"note: {note}", "yellow")
    count = len(done["changes"])
    if done["applied"]:
        out.print(f"{count} changed, {done['unchanged']} unchanged")
    elif count:
        out.print(
            plain(f"{count} would change; `tarewell menu import {file} --apply` does it"), soft_wrap=True
        )
    else:
        out.print("nothing would change")


@menu.command()
def retire(
    what: Annotated[Retired, typer.Argument()],
    id_: Annotated[str, typer.Argument(metavar="ID", help="Its id.")],
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Retire a liquid, a glass or a recipe; its record stays."""
    with DaemonClient(url, token) as client:
        client.ask("DELETE", f"{_PATHS[what]}/{quote(id_, safe='')}")
    typer.echo(f"{what} {id_} is retired; an import that names it restores it")


@menu.command()
def example() -> None:
    """Print a complete set-up as a starting point: the interval bar of a theatre; needs no daemon."""
    typer.echo(INTERVAL_BAR.read_text("utf-8"), nl=False)


@menu.command()
def schema() -> None:
    """Print the JSON Schema of the set-up file; needs no daemon."""
    typer.echo(json_schema_text(), nl=False)
