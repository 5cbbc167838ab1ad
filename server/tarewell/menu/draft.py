"""The part of a drink that does not depend on channels and bottles: its liquids, glass and masses."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from tarewell.quantities.errors import QuantityError
from tarewell.quantities.units import Amount, AmountKind, SmallMeasures, resized

from .checks import step_faults
from .drink import Blocker, Reason
from .errors import MenuError
from .facts import UNDESCRIBED, Facts, facts_of
from .hands import HandStep
from .portion import CLOSE_ML, NO_ETHANOL_G, Ingredient, Portion, Sizing, portion
from .values import Glass, Liquid, Menu, Recipe, RecipeDose

_NOTHING = Amount(0.0, AmountKind.MASS_G)


@dataclass(frozen=True, slots=True)
class Part:
    """A step that adds liquid: its place in the recipe, and the liquid, where there is one."""

    step: int
    of: RecipeDose | HandStep
    liquid_id: str | None
    liquid: Liquid | None
    facts: Facts

    @property
    def strength_known(self) -> bool:
        """Whether its strength is stated; a top-up that names no liquid has no alcohol."""
        return self.liquid_id is None or (self.liquid is not None and self.liquid.abv_percent is not None)


@dataclass(frozen=True, slots=True)
class Draft:
    """A drink without its channels; `parts` and the masses of `portion` correspond."""

    recipe: Recipe
    glass: Glass | None
    ice_g: float
    parts: tuple[Part, ...]
    portion: Portion
    blockers: tuple[Blocker, ...]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a drink besides its recipe; see `compile_recipe`."""

    glass_id: str | None = None
    volume_ml: float | None = None
    max_ethanol_g: float | None = None


def draft_of(
    menu: Menu, recipe: Recipe, wish: Wish, small: SmallMeasures, instead: Mapping[str, str]
) -> Draft:
    """Work out the masses; every obstacle that no channel can change is a blocker.

    Raises:
        MenuError: a volume or limit that is not a number.
    """
    _check(wish)
    blockers: list[Blocker] = []
    if not recipe.active:
        message = f"the recipe {recipe.id} is retired; take another one, or restore it"
        blockers.append(Blocker(Reason.RECIPE_RETIRED, message))
    blockers += (
        Blocker(Reason.RECIPE_FAULTY, message, step) for step, _, message in step_faults(recipe.steps)
    )
    glass = _glass(menu, wish.glass_id or recipe.glass_id, blockers)
    parts = tuple(_parts(menu, recipe, instead, blockers))
    ice_g = sum(step.ice_g for step in recipe.steps if isinstance(step, HandStep) and step.ice_g > 0)
    sizing = Sizing(
        wish.volume_ml or recipe.volume_ml, glass.room_ml if glass else None, ice_g, wish.max_ethanol_g
    )
    found = portion([Ingredient(part.facts, _amount(part.of, small)) for part in parts], sizing)
    draft = Draft(recipe, glass, ice_g, parts, found, ())
    blockers += _size_blockers(draft, sizing, menu.scale_max_g)
    return Draft(recipe, glass, ice_g, parts, found, tuple(blockers))


def _check(wish: Wish) -> None:
    volume_ml, max_g = wish.volume_ml, wish.max_ethanol_g
    if volume_ml is not None and not (isfinite(volume_ml) and volume_ml > 0):
        raise MenuError(f"a drink needs more than 0 ml, got {volume_ml:g} ml; ask for a volume")
    if max_g is not None and not (isfinite(max_g) and max_g >= 0):
        raise MenuError(f"a limit of ethanol must be 0 g or more, got {max_g:g} g; correct it")


def _glass(menu: Menu, glass_id: str | None, blockers: list[Blocker]) -> Glass | None:
    if glass_id is None:
        return None
    glass = menu.glasses.get(glass_id)
    if glass is None:
        message = f"there is no glass {glass_id[:60]!r}; add it, or choose another"
        blockers.append(Blocker(Reason.GLASS_UNKNOWN, message))
    elif not glass.active:
        message = f"the glass {glass.name} is retired; choose another, or restore it"
        blockers.append(Blocker(Reason.GLASS_RETIRED, message))
    return glass


def _parts(menu: Menu, recipe: Recipe, instead: Mapping[str, str], blockers: list[Blocker]) -> list[Part]:
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
                message = f"the liquid {liquid.name} is impossible: {error}"
                blockers.append(Blocker(Reason.LIQUID_FAULTY, message, number))
            if not liquid.active:
                message = f"{liquid.name} is retired; restore it, or name a substitute"
                blockers.append(Blocker(Reason.LIQUID_RETIRED, message, number))
        elif liquid_id is not None:
            message = f"there is no liquid {liquid_id[:60]!r}; add it, or name a substitute"
            blockers.append(Blocker(Reason.LIQUID_UNKNOWN, message, number))
        parts.append(Part(number, step, liquid_id, liquid, facts))
    return parts


def _amount(step: RecipeDose | HandStep, small: SmallMeasures) -> Amount | None:
    """The amount of a step with the house's small measures; an invalid amount is a blocker, and 0 here."""
    amount = step.amount
    if amount is None:
        return None
    if not (isfinite(amount.value) and amount.value > 0):
        return _NOTHING
    try:
        return resized(amount, step.text, small)
    except QuantityError:
        return amount


def _strength_unknown(part: Part) -> Blocker:
    name = part.liquid_id if part.liquid is None else part.liquid.name
    message = f"the strength of {name} is not known, so no limit can be kept; enter it, 0 if it has none"
    return Blocker(Reason.STRENGTH_UNKNOWN, message, part.step)


def _size_blockers(draft: Draft, sizing: Sizing, scale_max_g: float) -> list[Blocker]:
    found, glass, blockers = draft.portion, draft.glass, []
    strength = found.strength
    if found.size_open:
        blockers.append(
            Blocker(
                Reason.SIZE_OPEN,
                "the recipe fills its glass, but no glass is known; choose a glass or a volume",
            )
        )
    if found.crowded:
        message = (
            f"the amounts of the recipe take {found.occupied_ml:.0f} ml with the ice and leave no room "
            "for its parts; choose a larger glass or volume"
        )
        blockers.append(Blocker(Reason.GLASS_TOO_SMALL, message))
    elif glass is not None and found.occupied_ml > glass.room_ml + CLOSE_ML:
        message = (
            f"the drink takes {found.occupied_ml:.0f} ml, {found.ice_ml:.0f} ml of it for ice, and "
            f"{glass.name} has room for {glass.room_ml:.0f} ml; take a larger glass, less ice, or at most "
            f"{max(glass.room_ml - found.ice_ml, 0.0):.0f} ml of drink"
        )
        blockers.append(Blocker(Reason.GLASS_TOO_SMALL, message))
    glass_g = glass.heaviest_g or 0.0 if glass else 0.0
    whole_g = glass_g + draft.ice_g + strength.mass_g
    if whole_g > scale_max_g:
        message = (
            f"glass, ice and drink weigh up to {whole_g:.0f} g and the scale {scale_max_g:g} g; ask "
            "for a smaller drink or use a lighter glass"
        )
        blockers.append(Blocker(Reason.OVER_SCALE, message))
    if sizing.max_ethanol_g is not None:
        blockers += [_strength_unknown(part) for part in draft.parts if not part.strength_known]
    if sizing.max_ethanol_g is not None and sizing.max_ethanol_g < min(NO_ETHANOL_G, strength.ethanol_g):
        message = (
            f"the drink has {strength.ethanol_g:.1f} g of ethanol and none is allowed; choose one without "
            "alcohol"
        )
        blockers.append(Blocker(Reason.OVER_ETHANOL_LIMIT, message))
    return blockers
