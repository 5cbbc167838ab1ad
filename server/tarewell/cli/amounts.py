"""Doses as they are written on the command line: CHANNEL=AMOUNT, such as 1=120g or 3=20ml."""

import re
from typing import Any

import typer

_DOSE = re.compile(r"(\d{1,3})=(\d+(?:\.\d+)?)\s?(g|ml)", re.ASCII)


def parse_dose(text: str) -> dict[str, Any]:
    """A dose as the API takes it.

    Raises:
        typer.BadParameter: another form.
    """
    match = _DOSE.fullmatch(text)
    if match is None:
        raise typer.BadParameter(
            f"expected CHANNEL=AMOUNT with g or ml, such as 1=120g or 3=20ml, got '{text}'"
        )
    channel, amount, unit = match.groups()
    return {"channel": int(channel), f"amount_{unit}": float(amount)}
