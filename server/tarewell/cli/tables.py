"""Tables of pours for a terminal. Names are shown as text, never as markup."""

from datetime import datetime
from math import ceil
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

_STYLES = {"within": "green", "under": "yellow", "over": "yellow"}


def mass(value_g: float | None, sign: bool = False) -> str:
    """A mass to 0.1 g, or a dash."""
    if value_g is None:
        return "-"
    shown_g = round(value_g, 1) + 0.0  # never -0.0
    return f"{shown_g:+.1f}" if sign else f"{shown_g:.1f}"


def interval(value_g: float | None, uncertainty_g: float | None) -> str:
    """A mass, and plus or minus twice its standard uncertainty, rounded up to 0.1 g: 95 % of true masses."""
    if value_g is None or uncertainty_g is None:
        return mass(value_g)
    return f"{mass(value_g)} ±{ceil(20 * uncertainty_g) / 10:.1f}"


def plain(value: object) -> Text:
    """Text without markup and control characters."""
    return Text("".join(char if char.isprintable() else "?" for char in str(value)))


def sentence(out: Console, text: str, style: str | None = None) -> None:
    """Print text, wrapped between words on a terminal and unwrapped otherwise."""
    out.print(plain(text), style=style, soft_wrap=not out.is_terminal)


def print_needs(out: Console, needs: list[dict[str, Any]]) -> None:
    """Print the needs of each channel that may not pour a drink now."""
    for entry in needs:
        if entry["need"] != "none":
            sentence(out, entry["message"], "yellow")


def _target(dose: dict[str, Any]) -> str:
    rescaled_g = dose.get("rescaled_g")
    return mass(dose["target_g"]) + ("" if rescaled_g is None else f" -> {mass(rescaled_g)}")


def dose_table(pour: dict[str, Any]) -> Table:
    """Target (and what it was rescaled to), delivered and error of each dose."""
    table = Table(box=None, padding=(0, 2, 0, 0))
    for name in ("channel", "target\ng", "delivered\ng", "error\ng"):
        table.add_column(name, justify="right")
    table.add_column("liquid", overflow="fold")
    table.add_column("tolerance")
    for dose in pour["doses"]:
        verdict = dose["verdict"] or "-"
        table.add_row(
            str(dose["channel"]),
            _target(dose),
            interval(dose["delivered_g"], dose["uncertainty_g"]),
            mass(dose["error_g"], sign=True),
            plain(dose["liquid_name"]),
            Text(verdict, _STYLES.get(verdict, "")),
        )
    return table


def _poured(pour: dict[str, Any]) -> str:
    names = ", ".join(dose["liquid_name"] for dose in pour["doses"])
    return names if pour["purpose"] == "drink" else f"{pour['purpose']}: {names}"


def _delivered(pour: dict[str, Any]) -> str:
    """The mass with what dripped; or that known at the end and what was found later, with a question mark
    where that is not certain."""
    found = pour["found_later"]
    if found is None:
        return interval(pour["final_g"], pour["final_uncertainty_g"])
    known = "" if found["certainty"] == "weighed" else "?"
    later = "+" if found["found_g"] is None else mass(found["found_g"], sign=True)
    return f"{mass(pour['delivered_g'])} {later}{known}"


def pour_table(pours: list[dict[str, Any]]) -> Table:
    """One line for each pour, in local time."""
    table = Table(box=None, padding=(0, 1, 0, 0))
    for name in ("begun", "state"):
        table.add_column(name, no_wrap=True)
    for name in ("target", "delivered"):
        table.add_column(f"{name}\ng", justify="right", no_wrap=True)
    table.add_column("id and liquids", min_width=36, overflow="fold")
    for pour in pours:
        begun = datetime.fromisoformat(pour["created_at"]).astimezone()
        table.add_row(
            f"{begun:%y-%m-%d %H:%M}",
            pour["state"],
            mass(pour["target_g"]),
            _delivered(pour),
            Text(f"{pour['id']}\n").append(plain(_poured(pour))),
        )
    return table
