"""Drinks as planned from recipes: their doses, contents and blockers."""

from typing import Any, Literal, Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.dosing.tolerance import permissible_deviation_g
from tarewell.menu.allergens import Allergen
from tarewell.menu.drink import Blocker, Drink, PlannedDose, PlannedHand
from tarewell.menu.feasibility import Remaining
from tarewell.menu.hands import Hand

from . import View

_COOLER: dict[str, JsonValue] = {
    "recipe_id": "green-room-cooler",
    "name": "Green Room Cooler",
    "glass_id": "foyer-tumbler",
    "possible": True,
    "blockers": [],
    "notes": [],
    "target_g": 225.9,
    "volume_ml": 217.1,
    "volume_uncertainty_ml": 0.1,
    "strength_percent_vol": 0.0,
    "ethanol_g": 0.0,
    "standard_drinks": 0.0,
    "strength_known": True,
    "sugar_g": 23.5,
    "sugar_known": True,
    "allergens": [],
    "allergens_unknown": [],
    "cost": 0.2,
    "price": 2.5,
    "without_alcohol": True,
    "time_s": 31.4,
}


class BlockerView(View):
    """Why a drink cannot be poured now, and what to do; `step` counts the recipe's steps from 0."""

    code: str
    message: str
    step: int | None

    @classmethod
    def of(cls, blocker: Blocker) -> Self:
        """From the planner's blocker."""
        return cls(code=blocker.code, message=blocker.message, step=blocker.step)


def tolerance_g(target_g: float, accuracy_class: float) -> float | None:
    """How far a dose may be from its target by OIML R 61; None: it has no size."""
    return round(permissible_deviation_g(target_g, accuracy_class), 2) if target_g > 0 else None


class PlannedDoseView(View):
    """A dose in g; `volume_ml` is at serving temperature; `time_s` null: its flow was never seen. The mass
    may differ from its target by `tolerance_g`."""

    kind: Literal["dose"] = "dose"
    channel: int | None
    liquid_id: str
    target_g: float
    tolerance_g: float | None
    volume_ml: float
    volume_uncertainty_ml: float
    time_s: float | None

    @classmethod
    def of(cls, dose: PlannedDose, accuracy_class: float) -> Self:
        """From the planner's dose, and the class of OIML R 61 by which it will be judged."""
        return cls(
            channel=dose.channel,
            liquid_id=dose.liquid_id,
            target_g=round(dose.target_g, 2),
            tolerance_g=tolerance_g(dose.target_g, accuracy_class),
            volume_ml=round(dose.volume_ml, 2),
            volume_uncertainty_ml=round(dose.volume_uncertainty_ml, 2),
            time_s=_rounded(dose.time_s, 1),
        )


class PlannedHandView(View):
    """A step by hand with the mass and volume of its ice or top-up."""

    kind: Literal["hand"] = "hand"
    hand: Hand
    what: str
    liquid_id: str | None
    mass_g: float
    volume_ml: float

    @classmethod
    def of(cls, planned: PlannedHand) -> Self:
        """From the planner's step."""
        return cls(
            hand=planned.step.kind,
            what=planned.step.what,
            liquid_id=planned.step.liquid_id,
            mass_g=round(planned.mass_g, 2),
            volume_ml=round(planned.volume_ml, 2),
        )


def step_view(step: PlannedDose | PlannedHand, accuracy_class: float) -> PlannedDoseView | PlannedHandView:
    """From a planned step of either kind."""
    if isinstance(step, PlannedDose):
        return PlannedDoseView.of(step, accuracy_class)
    return PlannedHandView.of(step)


class DrinkFacts(View):
    """A drink as planned, from the data entered for its liquids: no more is known."""

    recipe_id: str
    name: str
    glass_id: str | None
    possible: bool = Field(description="whether menu and stock allow it now")
    blockers: list[BlockerView]
    notes: list[str] = Field(description="what was changed from recipe to drink")
    target_g: float = Field(description="mass that the machine pours")
    volume_ml: float = Field(description="of the mixed drink at 20 °C without ice")
    volume_uncertainty_ml: float
    strength_percent_vol: float
    ethanol_g: float
    standard_drinks: float = Field(description="by the setting menu.standard_drink")
    strength_known: bool = Field(description="false: an undescribed part counts as having none")
    sugar_g: float
    sugar_known: bool
    allergens: list[Allergen]
    allergens_unknown: list[str] = Field(description="what was not checked: liquids, or the text of a step")
    cost: float | None = Field(description="of its liquids")
    price: float | None = Field(description="what a guest pays; null: not set")
    without_alcohol: bool = Field(description="true only where every liquid in it is stated to have none")
    time_s: float | None = Field(description="forecast for the doses, without steps by hand")


class DrinkView(DrinkFacts):
    """A drink with its steps in order."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    **_COOLER,
                    "steps": [
                        {
                            "kind": "hand",
                            "hand": "ice",
                            "what": "three cubes",
                            "liquid_id": None,
                            "mass_g": 60.0,
                            "volume_ml": 65.4,
                        },
                        {
                            "kind": "dose",
                            "channel": 4,
                            "liquid_id": "prompters-cordial",
                            "target_g": 52.3,
                            "tolerance_g": 2.25,
                            "volume_ml": 43.4,
                            "volume_uncertainty_ml": 0.1,
                            "time_s": 7.1,
                        },
                    ],
                }
            ]
        }
    )

    steps: list[PlannedDoseView | PlannedHandView]

    @classmethod
    def of(cls, drink: Drink, standard_drink_g: float, accuracy_class: float) -> Self:
        """From the planned drink."""
        return cls(
            **_facts(drink, standard_drink_g),
            steps=[step_view(step, accuracy_class) for step in drink.steps],
        )


class MenuEntryView(DrinkFacts):
    """A drink of the menu, and how many could be poured if nothing else were."""

    remaining_now: int = Field(description="with the mounted bottles")
    remaining_with_shelf: int = Field(description="when the bottles on the shelf are mounted in turn")
    limited_by: str | None = Field(description="the liquid that runs out first")

    @classmethod
    def of(cls, drink: Drink, left: Remaining, standard_drink_g: float) -> Self:
        """From the planned drink and how many remain."""
        return cls(
            **_facts(drink, standard_drink_g),
            remaining_now=left.now,
            remaining_with_shelf=left.with_shelf,
            limited_by=left.limited_by,
        )


class MenuView(View):
    """Every recipe with what can be poured now."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "standard_drink_g": 7.89,
                    "currency": "EUR",
                    "drinks": [
                        {
                            **_COOLER,
                            "remaining_now": 22,
                            "remaining_with_shelf": 22,
                            "limited_by": "prompters-cordial",
                        }
                    ],
                }
            ]
        }
    )

    standard_drink_g: float = Field(description="grams of ethanol in a standard drink")
    currency: str | None = Field(description="of costs and prices, ISO 4217; null: not said")
    drinks: list[MenuEntryView]


def _facts(drink: Drink, standard_drink_g: float) -> dict[str, Any]:
    strength = drink.strength
    return {
        "recipe_id": drink.recipe_id,
        "name": drink.name,
        "glass_id": drink.glass_id,
        "possible": not drink.blockers,
        "blockers": [BlockerView.of(blocker) for blocker in drink.blockers],
        "notes": list(drink.notes),
        "target_g": round(drink.target_g, 2),
        "volume_ml": round(drink.volume_ml, 1),
        "volume_uncertainty_ml": round(drink.volume_uncertainty_ml, 1),
        "strength_percent_vol": round(strength.percent_vol, 2),
        "ethanol_g": round(strength.ethanol_g, 2),
        "standard_drinks": round(strength.standard_drinks(standard_drink_g), 2),
        "strength_known": drink.strength_known,
        "sugar_g": round(strength.sugar_g, 1),
        "sugar_known": drink.sugar_known,
        "allergens": sorted(drink.allergens),
        "allergens_unknown": list(drink.allergens_unknown),
        "cost": _rounded(drink.cost, 2),
        "price": drink.price,
        "without_alcohol": drink.without_alcohol,
        "time_s": _rounded(drink.time_s, 1),
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
