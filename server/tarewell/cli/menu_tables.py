"""Tables of drinks and bottles for a terminal. Names are shown as text, never as markup."""

from datetime import datetime
from typing import Any

from rich.table import Table
from rich.text import Text

from tarewell.menu.allergens import NONE_DECLARED, NOT_CHECKED

from .tables import mass, plain

_LEVEL_STYLES = {"enough": "green", "low": "yellow", "empty": "red"}


def _table(left: tuple[str, ...], right: tuple[str, ...], last: str) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0))
    for name in left:
        table.add_column(name, overflow="fold")
    for name in right:
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column(last, overflow="fold")
    return table


def _named(name: str, id_: str) -> Text:
    """The name, and below it the id for commands."""
    return plain(name).append(f"\n{id_}", "dim")


def menu_table(drinks: list[dict[str, Any]]) -> Table:
    """One line for each drink; drinks that cannot be poured now are yellow."""
    table = _table(
        ("drink",), ("% vol", "standard\ndrinks", "sugar\ng", "ml", "cost", "price", "left"), "allergens"
    )
    for drink in drinks:
        table.add_row(
            _named(drink["name"], drink["recipe_id"]),
            known(drink["strength_percent_vol"], drink["strength_known"], 1),
            known(drink["standard_drinks"], drink["strength_known"], 1),
            known(drink["sugar_g"], drink["sugar_known"], 0),
            f"{drink['volume_ml']:.0f}",
            *("-" if drink[name] is None else f"{drink[name]:.2f}" for name in ("cost", "price")),
            str(drink["remaining_now"]),
            allergens(drink),
            style="" if drink["possible"] else "yellow",
        )
    return table


def plan_table(drink: dict[str, Any]) -> Table:
    """The steps of a drink in order."""
    table = _table(("step",), ("channel", "g", "ml", "s"), "what")
    for number, step in enumerate(drink["steps"], 1):
        by_hand = step["kind"] == "hand"
        table.add_row(
            str(number),
            "by hand" if by_hand else str(step["channel"] or "-"),
            mass(step["mass_g"] if by_hand else step["target_g"]),
            mass(step["volume_ml"]),
            "" if by_hand else mass(step["time_s"]),
            plain(step["what"] if by_hand else step["liquid_id"]),
        )
    return table


def stock_table(liquids: list[dict[str, Any]], recipes: list[dict[str, Any]]) -> Table:
    """One line for each bottle, under its liquid. Only a liquid that a recipe doses needs one."""
    table = _table(("liquid", "bottle"), ("channel", "content\ng", "full\ng"), "")
    for liquid in liquids:
        name = _named(liquid["name"], liquid["liquid_id"])
        if not liquid["bottles"]:
            table.add_row(name, "-", "", "", "", _without_bottle(liquid["liquid_id"], recipes))
        for bottle in liquid["bottles"]:
            level = bottle["level"]
            table.add_row(
                name,
                plain(bottle["id"]),
                "shelf" if bottle["channel"] is None else str(bottle["channel"]),
                mass(bottle["content_g"]),
                mass(bottle["full_g"]),
                Text(level, _LEVEL_STYLES.get(level, "")),
            )
            name = Text("")
    return table


def _without_bottle(liquid_id: str, recipes: list[dict[str, Any]]) -> Text:
    steps = (step for recipe in recipes for step in recipe["steps"] if step.get("liquid_id") == liquid_id)
    by_hand = {"hand" in step for step in steps}
    if False in by_hand:
        return Text("no bottle", "red")
    return Text("by hand" if by_hand else "no bottle")


def movement_table(movements: list[dict[str, Any]]) -> Table:
    """One line for each movement of a bottle's content, in local time."""
    table = Table(box=None, padding=(0, 2, 0, 0))
    for name in ("when", "why"):
        table.add_column(name, no_wrap=True)
    table.add_column("change\ng", justify="right", no_wrap=True)
    table.add_column("pour", no_wrap=True)
    for moved in movements:
        at = datetime.fromisoformat(moved["at"]).astimezone()
        table.add_row(
            f"{at:%y-%m-%d %H:%M}", moved["kind"], mass(moved["change_g"], sign=True), _short(moved["pour"])
        )
    return table


def _short(pour: str | None) -> Text:
    """The first two groups of a pour's id, which hold its millisecond (RFC 9562, UUIDv7)."""
    return Text("-") if pour is None else plain("-".join(pour.rpartition("/")[2].split("-")[:2]))


def change_table(changes: list[dict[str, Any]]) -> Table:
    """The changes of an import."""
    table = _table(("", "what", "id"), (), "fields")
    for change in changes:
        table.add_row(
            change["change"], change["what"], plain(change["id"]), plain(", ".join(change["fields"]))
        )
    return table


def known(value: float, is_known: bool, digits: int) -> str:
    """A number, with ">=" before it where part of the drink is undescribed."""
    return f"{'' if is_known else '>= '}{value:.{digits}f}"


def allergens(drink: dict[str, Any]) -> Text:
    """The declared allergens, and the number of parts that were not checked."""
    unknown = len(drink["allergens_unknown"])
    named = ", ".join(drink["allergens"])
    return plain(
        f"{named + '; ' if named else ''}{unknown} {NOT_CHECKED}" if unknown else named or NONE_DECLARED
    )
