"""Amounts as people write them: `1.5 oz`, `45 ml`, `2 parts`."""

import re
from dataclasses import dataclass
from enum import StrEnum
from unicodedata import numeric

from tarewell.quantities.errors import QuantityError, require

ACCEPTED_UNITS = (
    "ml, cl, dl, l, oz (US fluid ounce), imp oz (imperial fluid ounce), tsp and tbsp (US), "
    "g, kg, parts, dash, barspoon"
)
"""The accepted units of amounts, for messages and help."""


class AmountKind(StrEnum):
    """What an amount counts."""

    VOLUME_ML = "volume_ml"
    MASS_G = "mass_g"
    PARTS = "parts"


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount above zero in ml, g or parts, as `kind` says."""

    value: float
    kind: AmountKind


@dataclass(frozen=True, slots=True)
class SmallMeasures:
    """Sizes in ml of measures that no standard fixes; common practice, no source: a dash 1/32 US fl oz,
    rounded, a barspoon half a US teaspoon, rounded.

    Raises:
        QuantityError: a size outside 0.05 to 20 ml.
    """

    dash_ml: float = 0.92
    barspoon_ml: float = 2.5

    def __post_init__(self) -> None:
        require("the size of a dash", self.dash_ml, 0.05, 20, "ml", "set it to what your bottle gives")
        require("the size of a barspoon", self.barspoon_ml, 0.05, 20, "ml", "set it to what your spoon holds")


_LARGEST = {AmountKind.VOLUME_ML: 10_000.0, AmountKind.MASS_G: 10_000.0, AmountKind.PARTS: 1_000.0}
_UNIT = {AmountKind.VOLUME_ML: "ml", AmountKind.MASS_G: "g", AmountKind.PARTS: "parts"}

_US_GALLON_ML = 231 * 2.54**3
_IMPERIAL_GALLON_ML = 4546.09

_ML = {
    **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), 1.0),
    **dict.fromkeys(("cl", "centilitre", "centilitres", "centiliter", "centiliters"), 10.0),
    **dict.fromkeys(("dl", "decilitre", "decilitres", "deciliter", "deciliters"), 100.0),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1000.0),
    **dict.fromkeys(
        ("oz", "fl oz", "us oz", "us fl oz", "ounce", "ounces", "fluid ounce", "fluid ounces"),
        _US_GALLON_ML / 128,
    ),
    **dict.fromkeys(
        (
            "imp oz",
            "imp fl oz",
            "imperial oz",
            "imperial fl oz",
            "imperial fluid ounce",
            "imperial fluid ounces",
        ),
        _IMPERIAL_GALLON_ML / 160,
    ),
    **dict.fromkeys(("tbsp", "tablespoon", "tablespoons"), _US_GALLON_ML / 256),
    **dict.fromkeys(("tsp", "teaspoon", "teaspoons"), _US_GALLON_ML / 768),
}
"""Exact by definition: the US gallon is 231 cubic inches, the imperial gallon 4.54609 l (NIST Handbook 44,
appendix C)."""

_G = {
    **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), 1.0),
    **dict.fromkeys(("kg", "kilogram", "kilograms", "kilo", "kilos"), 1000.0),
}
_PARTS = ("part", "parts")
_DASHES = ("dash", "dashes")
_BARSPOONS = ("barspoon", "barspoons", "bar spoon", "bar spoons")

_AMOUNT = re.compile(
    r"""
    (?P<sign>[-+−]?) \s*
    (?:
        (?P<decimal>[0-9]+\.?[0-9]* | \.[0-9]+)
      | (?: (?P<whole>[0-9]+) \s+ )? (?P<above>[0-9]+) \s*/\s* (?P<below>[0-9]+)
      | (?P<count>[0-9]*) \s* (?P<vulgar>[½¼¾⅓⅔⅛⅜⅝⅞])
    )? \s*
    (?P<unit>[a-zA-Z].*)
    """,
    re.VERBOSE,
)
_LONGEST_TEXT = 60


def parse_amount(text: str, small: SmallMeasures | None = None) -> Amount:
    """Read an amount: a number (`1.5`, `1/2`, `1 1/2`, `½`) and a unit of `ACCEPTED_UNITS`, in either case.

    `oz` is the US fluid ounce, a volume. `small` gives the sizes of dash and barspoon.

    Raises:
        QuantityError: no number, no unit or an unknown one, not above 0, or more than 10 l, 10 kg or 1000
            parts.
    """
    value, unit = _split(text)
    amount = _in_base(value, unit, small or SmallMeasures(), text)
    if not amount.value > 0:
        raise QuantityError(f"an amount must be above 0, got {_shown(text)}; leave out what is not poured")
    if amount.value > _LARGEST[amount.kind]:
        raise QuantityError(
            f"an amount must be at most {_LARGEST[amount.kind]:g} {_UNIT[amount.kind]}, "
            f"got {_shown(text)}; check number and unit"
        )
    return amount


def resized(amount: Amount, text: str, small: SmallMeasures) -> Amount:
    """An amount that was read from `text`, with dashes and barspoons of the sizes in `small`.

    Raises:
        QuantityError: a text with dashes or barspoons that is not an amount.
    """
    folded = text.casefold()
    if "dash" in folded or "bar" in folded:
        return parse_amount(text, small)
    return amount


def _split(text: str) -> tuple[float, str]:
    match = _AMOUNT.fullmatch(text.strip()) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise QuantityError(
            f"an amount is a number and a unit, such as 1.5 oz or 45 ml, got {_shown(text)}; "
            f"use a decimal point, and one of the units {ACCEPTED_UNITS}"
        )
    if match["decimal"]:
        value = float(match["decimal"])
    elif match["vulgar"]:
        value = int(match["count"] or 0) + numeric(match["vulgar"])
    elif match["above"]:
        if int(match["below"]) == 0:
            raise QuantityError(
                f"the denominator of a fraction must be above 0, got {_shown(text)}; correct it"
            )
        value = int(match["whole"] or 0) + int(match["above"]) / int(match["below"])
    else:
        raise QuantityError(
            "an amount must begin with a number, such as 1.5 oz or 45 ml, "
            f"got {_shown(text)}; put it in front"
        )
    return (-value if match["sign"] in ("-", "−") else value), match["unit"]


def _in_base(value: float, unit: str, small: SmallMeasures, text: str) -> Amount:
    name = " ".join(unit.replace(".", " ").casefold().split())
    if name in _PARTS:
        return Amount(value, AmountKind.PARTS)
    if name in _DASHES:
        return Amount(value * small.dash_ml, AmountKind.VOLUME_ML)
    if name in _BARSPOONS:
        return Amount(value * small.barspoon_ml, AmountKind.VOLUME_ML)
    if name in _ML:
        return Amount(value * _ML[name], AmountKind.VOLUME_ML)
    if name in _G:
        return Amount(value * _G[name], AmountKind.MASS_G)
    raise QuantityError(f"the unit of {_shown(text)} is not known; convert it to one of {ACCEPTED_UNITS}")


def _shown(text: str) -> str:
    return repr(text if len(text) <= 30 else text[:30] + "…")
