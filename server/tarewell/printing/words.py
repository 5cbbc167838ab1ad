"""Figures for people, on paper: a number and its unit stay on one line."""

from collections.abc import Iterable


def span(seconds: float) -> str:
    """A length of time: `45 s`, `7 min`, `2.5 h`."""
    if seconds < 99.5:
        return f"{seconds:.0f}\N{NO-BREAK SPACE}s"
    minutes = seconds / 60
    return (
        f"{minutes:.0f}\N{NO-BREAK SPACE}min" if minutes < 99.5 else f"{minutes / 60:.1f}\N{NO-BREAK SPACE}h"
    )


def volume(ml: float) -> str:
    """A volume: `43 ml`, `1.8 l`."""
    return f"{ml:.0f}\N{NO-BREAK SPACE}ml" if ml < 999.5 else f"{ml / 1000:.1f}\N{NO-BREAK SPACE}l"


def mass(grams: float) -> str:
    """A mass: `60 g`, `2.6 kg`."""
    return f"{grams:.0f}\N{NO-BREAK SPACE}g" if grams < 999.5 else f"{grams / 1000:.1f}\N{NO-BREAK SPACE}kg"


def figure(value: float, unit: str) -> str:
    """A figure of a step by hand, by its unit."""
    worded = {"g": mass, "s": span}.get(unit)
    return f"{value:g}\N{NO-BREAK SPACE}{unit}" if worded is None else worded(value)


def money(amount: float | None) -> str:
    """An amount in the user's own currency, without a sign; a dash where it is not known."""
    return "–" if amount is None else f"{amount:.2f}"


def percent(share: float) -> str:
    """A share: `10 %`."""
    return f"{100 * share:.0f}\N{NO-BREAK SPACE}%"


def listed(words: Iterable[str]) -> str:
    """`nuts, milk and eggs`."""
    *first, last = list(words) or [""]
    return f"{', '.join(first)} and {last}" if first else last


def counted(count: int, one: str, many: str) -> str:
    """`1 guest`, `80 guests`."""
    return f"{count} {one if count == 1 else many}"
