"""A recipe as far as it does not depend on channels and bottles: its liquids, its glass, its masses."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from tarewell.quantities.errors import QuantityError
from tarewell.quantities.units import Amount, Kind, SmallMeasures, resized

from .checks import step_faults
from .drink import Hindrance, Reason
from .errors import MenuError
from .facts import UNDESCRIBED, Facts, facts_of
from .portion import CLOSE_ML, NO_ETHANOL_G, Ingredient, Portion, Sizing, portion
from .values import Dose, Glass, HandStep, Liquid, Menu, Recipe

_NOTHING = Amount(0.0, Kind.MASS_G)


@dataclass(frozen=True, slots=True)
class Part:
    """A step that brings liquid: its place in the recipe, and the liquid, if there is one to be had."""

    step: int
    of: Dose | HandStep
    liquid_id: str | None
    liquid: Liquid | None
    facts: Facts

    @property
    def strength_known(self) -> bool:
        """Whether somebody said how strong it is; a top-up that names no liquid has no alcohol."""
        return self.liquid_id is None or (self.liquid is not None and self.liquid.abv_percent is not None)


@dataclass(frozen=True, slots=True)
class Draft:
    """A drink without its channels; `parts` and the masses of `portion` go together."""

    recipe: Recipe
    glass: Glass | None
    ice_g: float
    parts: tuple[Part, ...]
    portion: Portion
    hindrances: tuple[Hindrance, ...]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a drink beside its recipe; see `compile_recipe`."""

    glass_id: str | None = None
    volume_ml: float | None = None
    ethanol_most_g: float | None = None


def draft_of(
    menu: Menu, recipe: Recipe, wish: Wish, small: SmallMeasures, instead: Mapping[str, str]
) -> Draft:
    """Work out the masses; every reason against the drink that no channel can change is a hindrance.

    Raises:
        MenuError: a volume or limit that is no number.
    """
    _check(wish)
    hindrances: list[Hindrance] = []
    if not recipe.active:
        message = f"the recipe {recipe.id} is retired; take another one, or bring it back"
        hindrances.append(Hindrance(Reason.RECIPE_RETIRED, message))
    hindrances += (
        Hindrance(Reason.RECIPE_FAULTY, message, step) for step, _, message in step_faults(recipe.steps)
    )
    glass = _glass(menu, wish.glass_id or recipe.glass_id, hindrances)
    parts = tuple(_parts(menu, recipe, instead, hindrances))
    ice_g = sum(step.ice_g for step in recipe.steps if isinstance(step, HandStep) and step.ice_g > 0)
    sizing = Sizing(
        wish.volume_ml or recipe.volume_ml, glass.room_ml if glass else None, ice_g, wish.ethanol_most_g
    )
    found = portion([Ingredient(part.facts, _amount(part.of, small)) for part in parts], sizing)
    draft = Draft(recipe, glass, ice_g, parts, found, ())
    hindrances += _size_hindrances(draft, sizing, menu.scale_max_g)
    return Draft(recipe, glass, ice_g, parts, found, tuple(hindrances))


def _check(wish: Wish) -> None:
    volume_ml, most_g = wish.volume_ml, wish.ethanol_most_g
    if volume_ml is not None and not (isfinite(volume_ml) and volume_ml > 0):
        raise MenuError(f"a drink is expected to have more than 0 ml, got {volume_ml:g} ml; ask for a volume")
    if most_g is not None and not (isfinite(most_g) and most_g >= 0):
        raise MenuError(f"a limit of ethanol is expected to be 0 g or more, got {most_g:g} g; correct it")


def _glass(menu: Menu, glass_id: str | None, hindrances: list[Hindrance]) -> Glass | None:
    if glass_id is None:
        return None
    glass = menu.glasses.get(glass_id)
    if glass is None:
        message = f"there is no glass {glass_id[:60]!r}; add it, or choose another"
        hindrances.append(Hindrance(Reason.GLASS_UNKNOWN, message))
    elif not glass.active:
        message = f"the glass {glass.name} is retired; choose another, or bring it back"
        hindrances.append(Hindrance(Reason.GLASS_RETIRED, message))
    return glass


def _parts(menu: Menu, recipe: Recipe, instead: Mapping[str, str], hindrances: list[Hindrance]) -> list[Part]:
    parts = []
    for number, step in enumerate(recipe.steps):
        if isinstance(step, HandStep) and not step.brings_liquid:
            continue
        liquid_id = None if step.liquid_id is None else instead.get(step.liquid_id, step.liquid_id)
        liquid = None if liquid_id is None else menu.liquids.get(liquid_id)
        facts = UNDESCRIBED
        if liquid is not None:
            try:
                facts = facts_of(liquid)
            except QuantityError as error:
                message = f"the liquid {liquid.name} cannot be: {error}"
                hindrances.append(Hindrance(Reason.LIQUID_FAULTY, message, number))
            if not liquid.active:
                message = f"{liquid.name} is retired; bring it back, or say what is to be taken instead"
                hindrances.append(Hindrance(Reason.LIQUID_RETIRED, message, number))
        elif liquid_id is not None:
            message = f"there is no liquid {liquid_id[:60]!r}; add it, or say what is to be taken instead"
            hindrances.append(Hindrance(Reason.LIQUID_UNKNOWN, message, number))
        parts.append(Part(number, step, liquid_id, liquid, facts))
    return parts


def _amount(step: Dose | HandStep, small: SmallMeasures) -> Amount | None:
    """The amount of a step with the house's small measures; what is no amount is a hindrance, and 0 here."""
    amount = step.amount
    if amount is None:
        return None
    if not (isfinite(amount.value) and amount.value > 0):
        return _NOTHING
    try:
        return resized(amount, step.text, small)
    except QuantityError:
        return amount


def _strength_unknown(part: Part) -> Hindrance:
    name = part.liquid_id if part.liquid is None else part.liquid.name
    message = (
        f"the strength of {name} is not known, so that no limit can be kept; enter it, 0 where it has none"
    )
    return Hindrance(Reason.STRENGTH_UNKNOWN, message, part.step)


def _size_hindrances(draft: Draft, sizing: Sizing, scale_max_g: float) -> list[Hindrance]:
    found, glass, hindrances = draft.portion, draft.glass, []
    strength = found.strength
    if found.size_open:
        hindrances.append(
            Hindrance(
                Reason.SIZE_OPEN, "the recipe fills its glass and none is known; choose a glass or a volume"
            )
        )
    if found.crowded:
        message = (
            f"the amounts of the recipe take {found.occupied_ml:.0f} ml with the ice and leave no room "
            "for its parts; choose a larger glass or volume"
        )
        hindrances.append(Hindrance(Reason.GLASS_TOO_SMALL, message))
    elif glass is not None and found.occupied_ml > glass.room_ml + CLOSE_ML:
        message = (
            f"the drink takes {found.occupied_ml:.0f} ml, {found.ice_ml:.0f} ml of it for ice, and "
            f"{glass.name} has room for {glass.room_ml:.0f} ml; take a larger glass, less ice, or at most "
            f"{max(glass.room_ml - found.ice_ml, 0.0):.0f} ml of drink"
        )
        hindrances.append(Hindrance(Reason.GLASS_TOO_SMALL, message))
    glass_g = glass.heaviest_g or 0.0 if glass else 0.0
    whole_g = glass_g + draft.ice_g + strength.mass_g
    if whole_g > scale_max_g:
        message = (
            f"glass, ice and drink have up to {whole_g:.0f} g and the scale weighs {scale_max_g:g} g; ask "
            "for a smaller drink or take a lighter glass"
        )
        hindrances.append(Hindrance(Reason.OVER_SCALE, message))
    if sizing.ethanol_most_g is not None:
        hindrances += [_strength_unknown(part) for part in draft.parts if not part.strength_known]
    if sizing.ethanol_most_g is not None and sizing.ethanol_most_g < min(NO_ETHANOL_G, strength.ethanol_g):
        message = (
            f"the drink has {strength.ethanol_g:.1f} g of ethanol and none is allowed; choose one without "
            "alcohol"
        )
        hindrances.append(Hindrance(Reason.OVER_ETHANOL_LIMIT, message))
    return hindrances
