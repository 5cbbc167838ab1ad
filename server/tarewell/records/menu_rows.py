"""Between the values of the menu and their rows. What is a list or a tree stands in a column as JSON."""

import json
from typing import Any

from tarewell.menu.allergens import Allergen
from tarewell.menu.values import Liquid
from tarewell.quantities.density import Density, Origin

from .tables import LiquidRow


def liquid_values(liquid: Liquid) -> dict[str, Any]:
    """The columns of a liquid; its allergens in the order of their names, so that equal sets are equal text."""
    density, allergens = liquid.density, liquid.allergens
    return {
        "id": liquid.id,
        "name": liquid.name,
        "density_g_per_ml": density.g_per_ml,
        "density_uncertainty_g_per_ml": density.uncertainty_g_per_ml,
        "density_origin": density.origin.value,
        "density_at_c": density.at_c,
        "abv_percent": liquid.abv_percent,
        "sugar_g_per_l": liquid.sugar_g_per_l,
        "allergens": None if allergens is None else json.dumps(sorted(allergens)),
        "cost_per_l": liquid.cost_per_l,
        "serving_c": liquid.serving_c,
        "note": liquid.note,
        "active": liquid.active,
    }


def liquid_of(row: LiquidRow) -> Liquid:
    """The liquid of a row."""
    return Liquid(
        id=row.id,
        name=row.name,
        density=Density(
            row.density_g_per_ml,
            row.density_uncertainty_g_per_ml,
            Origin(row.density_origin),
            row.density_at_c,
        ),
        abv_percent=row.abv_percent,
        sugar_g_per_l=row.sugar_g_per_l,
        allergens=None
        if row.allergens is None
        else frozenset(Allergen(name) for name in json.loads(row.allergens)),
        cost_per_l=row.cost_per_l,
        serving_c=row.serving_c,
        note=row.note,
        active=row.active,
    )


def told(values: dict[str, Any], *trees: str) -> dict[str, Any]:
    """Columns as the journal tells them: those that hold JSON as what it says."""
    return {
        name: json.loads(value) if name in trees and value is not None else value
        for name, value in values.items()
    }
