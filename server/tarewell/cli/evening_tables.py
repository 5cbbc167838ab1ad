"""The plan of an evening for a terminal. Names are shown as text, never as markup."""

from collections.abc import Iterator

from rich.table import Table

from tarewell.printing.words import mass, span, volume

from .daemon_client import Json
from .tables import plain


def drinks_table(shown: Json) -> Table:
    """One line for each recipe."""
    table = _table("drink", "glasses", "ml", "% vol", "standard\ndrinks", "at the bar\ns", "cost")
    for drink in shown["recipes"]:
        known = "" if drink["strength_known"] else "at least "
        table.add_row(
            plain(f"{drink['name']}, without alcohol" if drink["alcohol_free"] else drink["name"]),
            str(drink["drinks"]),
            f"{drink['volume_ml']:.0f}",
            f"{known}{drink['strength_percent_vol']:.1f}",
            f"{known}{drink['standard_drinks']:.1f}",
            f"{drink['service_s']:.0f}{' guessed' if drink['flow_guessed'] else ''}",
            _money(drink["cost"]),
        )
    table.add_section()
    table.add_row("all", str(shown["drinks"]), "", "", "", "", _money(shown["cost_of_drinks"]))
    return table


def shopping_table(shown: Json) -> Table:
    """One line for each liquid, those to buy first; then the ice."""
    table = _table("liquid", "used", "with reserve", "in stock", "to buy", "cost")
    for liquid in sorted(shown["liquids"], key=lambda entry: entry["buy_ml"] <= 0):
        table.add_row(
            plain(liquid["name"]),
            volume(liquid["used_ml"]),
            volume(liquid["need_ml"]),
            volume(liquid["stock_ml"]),
            _bottles(liquid),
            _money(liquid["cost"]) if liquid["buy_ml"] else "",
        )
    if shown["ice_g"]:
        table.add_row("ice", "", mass(shown["ice_g"]), "", mass(shown["ice_g"]), "")
    table.add_section()
    table.add_row("all", "", "", "", "", _money(shown["cost_of_shopping"]))
    return table


def waiting_lines(shown: Json) -> Iterator[str]:
    """Work, waiting and alcohol in a few sentences."""
    peak = shown["peak_waiting"]
    yield shown["verdict"]
    yield _breakable(
        f"At the peak, {span(shown['peak_from_s'])} to {span(shown['peak_to_s'])} after opening, half of the "
        f"guests wait {span(peak['median_s'])} or less for their turn, 95 % of them {span(peak['p95_s'])} or "
        f"less; {100 * shown['load']:.0f} % of opening time is work at the machine."
    )
    known = "On average" if shown["strength_known"] else "On average at least"
    yield (
        f"{known} {shown['standard_drinks_per_guest']:.1f} standard drinks of "
        f"{shown['standard_drink_g']:g} g ethanol per guest; {shown['drinks_alcohol_free']} of "
        f"{shown['drinks']} drinks are without alcohol."
    )


def _breakable(text: str) -> str:
    """With ordinary spaces, at which a terminal breaks lines."""
    return text.replace("\N{NO-BREAK SPACE}", " ")


def _bottles(liquid: Json) -> str:
    if not liquid["buy_ml"]:
        return "nothing"
    bought = " + ".join(f"{item['count']} x {item['ml']} ml" for item in liquid["bottles"])
    return bought or f"{volume(liquid['buy_ml'])}, no size known"


def _table(first: str, *others: str) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0))
    table.add_column(first, overflow="fold")
    for name in others:
        table.add_column(name, justify="right")
    return table


def _money(amount: float | None) -> str:
    return "-" if amount is None else f"{amount:.2f}"
