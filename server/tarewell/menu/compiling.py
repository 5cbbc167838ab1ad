"""From a recipe to one drink: grams for each channel, in order, with every blocker."""

from collections.abc import Mapping
from dataclasses import replace
from math import hypot

from tarewell.quantities.units import SmallMeasures

from .allergens import Allergen
from .draft import Draft, Part, Wish, draft_of
from .drink import Blocker, Drink, PlannedDose, PlannedHand, Substitution
from .errors import MenuError
from .hands import HandStep
from .portion import CLOSE_ML, Portion
from .supply import by_liquid, choose, needs_of
from .values import ChannelFacts, Menu, Recipe, RecipeDose

DOSE_OVERHEAD_S = 0.6
"""Time for a dose beyond target over flow (run-up, settling, jogs): the mean over the five channels that
docs/control.md measures."""

TARE_S = 1.3
"""Time from the glass on the platform to the first dose, measured on the simulated machine."""


def compile_recipe(
    menu: Menu,
    recipe_id: str,
    *,
    glass_id: str | None = None,
    volume_ml: float | None = None,
    max_ethanol_g: float | None = None,
    small: SmallMeasures | None = None,
    instead: Mapping[str, str] | None = None,
) -> Drink:
    """Plan one drink of a recipe.

    `glass_id` and `volume_ml` replace the recipe's own; `volume_ml` is of the mixed drink at 20 °C without
    ice. `max_ethanol_g` shrinks the whole drink until it holds no more ethanol. `small` gives the house's
    dash and barspoon. `instead` maps liquids to their substitutes; nothing else is ever substituted. How
    parts, amounts, ice and limits combine: docs/menu.md.

    `Drink.blockers` lists everything that makes the drink impossible now.

    Raises:
        MenuError: no such recipe, a volume that is not above 0 or a limit below 0, or a substitution for a
            liquid that the recipe does not have.
    """
    recipe = menu.recipes.get(recipe_id)
    if recipe is None:
        raise MenuError(f"there is no recipe {recipe_id[:60]!r}; look up the id, or add the recipe")
    substitutions = _substitutions(recipe, instead or {})
    draft = draft_of(
        menu, recipe, Wish(glass_id, volume_ml, max_ethanol_g), small or SmallMeasures(), instead or {}
    )
    channels, about_supply = _supply(menu, draft)
    steps = _steps(draft, channels, instead or {})
    doses = [step for step in steps if isinstance(step, PlannedDose)]
    allergens, unknown = _allergens(menu, draft, instead or {})
    portion, glass = draft.portion, draft.glass
    strength = portion.strength
    holds_g = None if glass is None else _holds_g(portion, glass.room_ml)
    return Drink(
        recipe_id=recipe.id,
        name=_name(menu, recipe, substitutions),
        glass_id=glass_id or recipe.glass_id,
        steps=steps,
        volume_ml=strength.volume_ml,
        volume_uncertainty_ml=_volume_uncertainty_ml(draft),
        target_g=sum(dose.target_g for dose in doses),
        strength=strength,
        strength_known=all(part.strength_known for part in draft.parts),
        sugar_known=all(
            part.liquid is not None and part.liquid.sugar_g_per_l is not None for part in draft.parts
        ),
        allergens=allergens,
        allergens_unknown=unknown,
        cost=_cost(draft),
        time_s=_time_s(steps),
        glass_holds_g=holds_g,
        blockers=(*draft.blockers, *about_supply),
        substitutions=substitutions,
        notes=_notes(menu, draft, substitutions),
        price=recipe.price,
        keep_order=recipe.keep_order,
    )


def _holds_g(portion: Portion, room_ml: float) -> float:
    """How much of the drink fits beside its ice; its own mass where it fills the glass to within rounding."""
    strength = portion.strength
    if not strength.volume_ml or abs(room_ml - portion.occupied_ml) < CLOSE_ML:
        return strength.mass_g
    return max(room_ml - portion.ice_ml, 0.0) * strength.mass_g / strength.volume_ml


def _substitutions(recipe: Recipe, instead: Mapping[str, str]) -> tuple[Substitution, ...]:
    has = {step.liquid_id for step in recipe.steps if step.liquid_id is not None}
    for wanted in instead:
        if wanted not in has:
            raise MenuError(
                f"the recipe {recipe.id} has no liquid {wanted[:60]!r} that another could replace; it has "
                f"{', '.join(sorted(has))}"
            )
    return tuple(Substitution(wanted, used) for wanted, used in instead.items() if wanted != used)


def _supply(menu: Menu, draft: Draft) -> tuple[dict[str, ChannelFacts], list[Blocker]]:
    needs = needs_of(machine_doses(draft))
    carrying = by_liquid(menu.channels)
    channels, blockers = {}, []
    for liquid_id, need in needs.items():
        liquid = menu.liquids.get(liquid_id)
        if liquid is None:
            continue
        channel, found = choose(liquid, need, carrying.get(liquid_id, ()))
        blockers += found
        if channel is not None:
            channels[liquid_id] = channel
    return channels, blockers


def machine_doses(draft: Draft) -> list[tuple[int, str, float]]:
    """Step, liquid and target in g of each dose that the machine pours."""
    return [
        (part.step, part.liquid_id, mass_g)
        for part, mass_g in zip(draft.parts, draft.portion.masses_g, strict=True)
        if isinstance(part.of, RecipeDose) and part.liquid_id is not None
    ]


def _steps(
    draft: Draft, channels: Mapping[str, ChannelFacts], instead: Mapping[str, str]
) -> tuple[PlannedDose | PlannedHand, ...]:
    of = {part.step: (part, mass_g) for part, mass_g in zip(draft.parts, draft.portion.masses_g, strict=True)}
    steps: list[PlannedDose | PlannedHand] = []
    for number, step in enumerate(draft.recipe.steps):
        if isinstance(step, HandStep) and step.liquid_id is not None:
            step = replace(step, liquid_id=instead.get(step.liquid_id, step.liquid_id))
        if isinstance(step, HandStep) and number not in of:
            volume_ml = draft.portion.ice_ml * step.ice_g / draft.ice_g if step.ice_g > 0 else 0.0
            steps.append(PlannedHand(step, max(step.ice_g, 0.0), volume_ml))
            continue
        part, mass_g = of[number]
        volume_ml = mass_g / part.facts.g_per_ml
        if isinstance(step, HandStep):
            steps.append(PlannedHand(step, mass_g, volume_ml))
        else:
            liquid_id = part.liquid_id or step.liquid_id
            channel = channels.get(liquid_id)
            steps.append(
                PlannedDose(
                    channel.number if channel else None,
                    liquid_id,
                    mass_g,
                    volume_ml,
                    volume_ml * part.facts.uncertain_share,
                    mass_g / channel.flow_g_per_s + DOSE_OVERHEAD_S
                    if channel and channel.flow_g_per_s
                    else None,
                )
            )
    return tuple(steps)


def _volume_uncertainty_ml(draft: Draft) -> float:
    """Errors of one liquid's doses add linearly; those of different liquids, and of the contraction, as
    independent ones."""
    by_liquid: dict[str | None, float] = {}
    for part, mass_g in zip(draft.parts, draft.portion.masses_g, strict=True):
        off_ml = mass_g / part.facts.g_per_ml * part.facts.uncertain_share
        by_liquid[part.liquid_id] = by_liquid.get(part.liquid_id, 0.0) + off_ml
    return hypot(draft.portion.strength.contraction_uncertainty_ml, *by_liquid.values())


def _allergens(
    menu: Menu, draft: Draft, instead: Mapping[str, str]
) -> tuple[frozenset[Allergen], tuple[str, ...]]:
    found: set[Allergen] = set()
    unknown: dict[str, None] = {}
    for step in draft.recipe.steps:
        if isinstance(step, HandStep) and not step.kind.spec.brings_allergens:
            continue
        liquid_id = None if step.liquid_id is None else instead.get(step.liquid_id, step.liquid_id)
        liquid = None if liquid_id is None else menu.liquids.get(liquid_id)
        if liquid is not None and liquid.allergens is not None:
            found |= liquid.allergens
        elif liquid_id is not None:
            unknown[liquid_id] = None
        elif isinstance(step, HandStep):
            unknown[step.what] = None
    return frozenset(found), tuple(unknown)


def _cost(draft: Draft) -> float | None:
    return _sum(
        [_cost_of(part, mass) for part, mass in zip(draft.parts, draft.portion.masses_g, strict=True)]
    )


def _cost_of(part: Part, mass_g: float) -> float | None:
    if part.liquid is None or part.liquid.cost_per_l is None:
        return None
    return part.liquid.cost_per_l * mass_g / part.facts.g_per_ml / 1000


def _time_s(steps: tuple[PlannedDose | PlannedHand, ...]) -> float | None:
    """The machine's time for all pours, without steps by hand; None where a flow was never seen."""
    seconds, pouring = 0.0, False
    for step in steps:
        if isinstance(step, PlannedHand):
            pouring = False
            continue
        if step.time_s is None:
            return None
        seconds += step.time_s + (0.0 if pouring else TARE_S)
        pouring = True
    return seconds


def _sum(values: list[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None


def _name_of(menu: Menu, liquid_id: str) -> str:
    liquid = menu.liquids.get(liquid_id)
    return liquid_id if liquid is None else liquid.name


def _name(menu: Menu, recipe: Recipe, substitutions: tuple[Substitution, ...]) -> str:
    if not substitutions:
        return recipe.name
    return f"{recipe.name} ({', '.join(_instead(menu, item) for item in substitutions)})"


def _instead(menu: Menu, item: Substitution) -> str:
    return f"{_name_of(menu, item.used_id)} instead of {_name_of(menu, item.wanted_id)}"


def _notes(menu: Menu, draft: Draft, substitutions: tuple[Substitution, ...]) -> tuple[str, ...]:
    notes = [_instead(menu, item) for item in substitutions]
    factor = draft.portion.smaller_by
    if factor < 1:
        notes.append(
            f"made smaller, to {100 * factor:.0f} % of the recipe, to hold no more than "
            f"{draft.portion.strength.ethanol_g:.1f} g of ethanol"
        )
    return tuple(notes)
