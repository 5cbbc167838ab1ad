"""Amounts on the command line: doses such as 1=120g, contents such as 700ml."""

import re
from typing import Any

import typer

_NUMBER_AND_UNIT = r"(\d+(?:\.\d+)?)\s?(g|ml)"
_DOSE = re.compile(rf"(\d{{1,3}})={_NUMBER_AND_UNIT}", re.ASCII)
_CONTENT = re.compile(_NUMBER_AND_UNIT, re.ASCII)


def parse_dose(text: str) -> dict[str, Any]:
    """A dose in the API's form.

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


def parse_content(text: str) -> dict[str, float]:
    """The capacity of a bottle in the API's form.

    Raises:
        typer.BadParameter: another form.
    """
    match = _CONTENT.fullmatch(text)
    if match is None:
        raise typer.BadParameter(f"expected a number with g or ml, such as 700ml or 850g, got '{text}'")
    return {f"full_{match[2]}": float(match[1])}
