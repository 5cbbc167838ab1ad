"""`tarewell plan` and `tarewell cards`: before the evening, from the daemon or from a set-up file."""

import json
import re
from collections.abc import Iterable
from pathlib import Path
from random import Random
from typing import Annotated, Any

import typer
from pydantic import ValidationError

from tarewell.api.schemas.evenings import EveningBody, EveningView
from tarewell.menu.checks import Fault
from tarewell.menu.compiling import compile_recipe
from tarewell.menu.evening import faults_of_evening
from tarewell.menu.evening_plan import plan_evening
from tarewell.printing.cards import cards_page
from tarewell.printing.evening_page import evening_page
from tarewell.settings import MenuSettings
from tarewell.setup_file.forms import message_of, pointer_to

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .evening_tables import drinks_table, shopping_table, waiting_lines
from .failures import CliError, ExitCode
from .following import console
from .setup_menu import menu_of
from .tables import plain, sentence

PLAN = "/v1/evenings/plan"

_PAIR = re.compile(r"([a-z0-9_-]+)=(\d+(?:\.\d+)?)", re.ASCII)
_SIZES = re.compile(r"([a-z0-9-]+)=(\d+(?:@\d+(?:\.\d+)?)?(?:,\d+(?:@\d+(?:\.\d+)?)?)*)", re.ASCII)

SetupFile = Annotated[
    Path | None, typer.Option("--setup", help="A set-up file (TOML) instead of a daemon; flows are guessed.")
]


def plan(
    guests: Annotated[int, typer.Option(help="Number of guests.")],
    hours: Annotated[float, typer.Option(help="Opening hours, all intervals together.")],
    mix: Annotated[
        list[str], typer.Option(help="Shares of the recipes: ID=SHARE,ID=SHARE; on any scale, repeatable.")
    ],
    per_guest: Annotated[float | None, typer.Option(help="Drinks per guest in all.")] = None,
    per_guest_hour: Annotated[float | None, typer.Option(help="Or: drinks per guest and hour.")] = None,
    title: Annotated[str, typer.Option(help="Heading of the page.")] = "Evening",
    intervals: Annotated[int, typer.Option(help="Number of equal parts of the opening hours.")] = 1,
    peak_share: Annotated[
        float, typer.Option(help="Share of the orders that come in the peak, 0 to 1.")
    ] = 0.0,
    peak_minutes: Annotated[float, typer.Option(help="Length of the peak at each start.")] = 0.0,
    reserve: Annotated[float, typer.Option(help="Share to buy beyond the need.")] = 0.1,
    bottle: Annotated[
        list[str] | None, typer.Option(help="Sizes on sale: LIQUID=ML@PRICE,ML@PRICE; repeatable.")
    ] = None,
    time: Annotated[
        list[str] | None, typer.Option(help="A time at your bar: glass_change_s=6, ice_s=4 ...; repeatable.")
    ] = None,
    seed: Annotated[int, typer.Option(help="The same seed gives the same queue.")] = 1,
    setup: SetupFile = None,
    as_json: Annotated[bool, typer.Option("--json", help="The API's response.")] = False,
    page: Annotated[Path | None, typer.Option(help="Also write a page to print (HTML).")] = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Plan an evening: drinks, bottles to buy, ice, cost, and how long guests wait. See docs/evening.md."""
    if (per_guest is None) == (per_guest_hour is None):
        raise typer.BadParameter("give exactly one of --per-guest (in all) and --per-guest-hour")
    if per_guest is not None and not hours > 0:
        raise typer.BadParameter(f"--hours must be more than 0, got {hours:g}")
    body: Json = {
        "title": title,
        "guests": guests,
        "hours": hours,
        "drinks_per_guest_h": per_guest_hour if per_guest is None else per_guest / hours,
        "mix": _pairs(mix, "--mix", "second-bell=3"),
        "intervals": intervals,
        "peak_share": peak_share,
        "peak_minutes": peak_minutes,
        "reserve": reserve,
        "bottle_sizes": dict(_sizes(text) for text in bottle or ()),
        "times": _pairs(time or (), "--time", "glass_change_s=6"),
        "seed": seed,
    }
    shown, html = _asked(body, page is not None, url, token) if setup is None else _planned(body, setup)
    if page is not None:
        _write(page, html)
    if as_json:
        typer.echo(json.dumps(shown, indent=2))
    else:
        _show(shown)


def cards(
    out: Annotated[Path, typer.Argument(help="The file to write (HTML).")],
    recipe: Annotated[str | None, typer.Option(help="One recipe only, by its id.")] = None,
    setup: SetupFile = None,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Write recipe cards to print and cut, four to a sheet of A4."""
    if setup is None:
        path = "/v1/cards" if recipe is None else f"/v1/recipes/{recipe}/card"
        with DaemonClient(url, token) as client:
            html = client.ask("GET", path).text
    else:
        html = _cards_of(setup, recipe)
    _write(out, html)


def _cards_of(setup: Path, recipe: str | None) -> str:
    settings = MenuSettings()
    menu, _ = menu_of(setup, settings.small)
    if recipe is not None and recipe not in menu.recipes:
        raise CliError(f"{setup} has no recipe {recipe!r}; it has {', '.join(menu.recipes) or 'none'}")
    by_name = sorted(menu.recipes.values(), key=lambda each: (each.name, each.id))
    chosen = [each.id for each in by_name if recipe in (None, each.id)]
    drinks = [compile_recipe(menu, recipe_id, small=settings.small) for recipe_id in chosen]
    return cards_page(menu, drinks, settings.standard_drink_g)


def _asked(body: Json, with_page: bool, url: str, token: str | None) -> tuple[Json, str]:
    with DaemonClient(url, token) as client:
        shown: Json = client.ask("POST", PLAN, json=body).json()
        html = client.ask("POST", PLAN, json=body, headers={"Accept": "text/html"}).text if with_page else ""
    return shown, html


def _planned(body: Json, setup: Path) -> tuple[Json, str]:
    """The same without a daemon, with default settings."""
    settings = MenuSettings()
    try:
        asked = EveningBody.model_validate(body)
    except ValidationError as error:
        entries = error.errors(include_url=False)
        raise _refused(Fault(pointer_to(entry["loc"]), message_of(entry)) for entry in entries) from error
    menu, bottles = menu_of(setup, settings.small)
    faults = faults_of_evening(menu, asked.evening())
    if faults:
        raise _refused(faults)
    found = plan_evening(menu, bottles, asked.evening(), Random(asked.seed).random, settings.small)
    view = EveningView.of(found, asked.title, settings.standard_drink_g)
    return view.model_dump(mode="json"), evening_page(found, asked.title, settings.standard_drink_g)


def _refused(faults: Iterable[Fault]) -> CliError:
    return CliError("; ".join(f"{fault.pointer}: {fault.message}" for fault in faults), ExitCode.REFUSED)


def _pairs(texts: Iterable[str], option: str, example: str) -> dict[str, float]:
    """NAME=NUMBER, comma-separated.

    Raises:
        typer.BadParameter: another form, or a duplicate name.
    """
    found: dict[str, float] = {}
    for item in (item.strip() for text in texts for item in text.split(",")):
        match = _PAIR.fullmatch(item)
        if match is None:
            raise typer.BadParameter(f"{option}: expected NAME=NUMBER, such as {example}, got '{item}'")
        if match[1] in found:
            raise typer.BadParameter(f"{option}: {match[1]} is given twice; leave one out")
        found[match[1]] = float(match[2])
    return found


def _sizes(text: str) -> tuple[str, list[dict[str, Any]]]:
    """A liquid with the sizes in which it is sold.

    Raises:
        typer.BadParameter: another form.
    """
    match = _SIZES.fullmatch(text.replace(" ", ""))
    if match is None:
        raise typer.BadParameter(
            f"--bottle: expected LIQUID=ML or LIQUID=ML@PRICE,ML@PRICE, such as foyer-soda=500@0.9,1500@1.9, "
            f"got '{text}'"
        )
    sizes = []
    for item in match[2].split(","):
        ml, _, price = item.partition("@")
        sizes.append({"ml": int(ml), "price": float(price) if price else None})
    return match[1], sizes


def _write(path: Path, html: str) -> None:
    try:
        path.write_text(html, "utf-8")
    except OSError as error:
        raise CliError(f"{path} cannot be written: {error.strerror}; name another file") from error
    typer.echo(f"written to {path}; open it in a browser to print it", err=True)


def _show(shown: Json) -> None:
    out = console()
    out.print(plain(shown["title"]), style="bold")
    out.print(drinks_table(shown))
    out.print()
    out.print(shopping_table(shown))
    out.print()
    for line in waiting_lines(shown):
        sentence(out, line)
    for drink in shown["recipes"]:
        for blocker in drink["blockers"]:
            sentence(out, f"{drink['name']}: {blocker['message']}", "yellow")
    for caution in shown["care"]:
        sentence(out, f"Caution: {caution}")
