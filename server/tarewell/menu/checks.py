"""Checks of what people enter: every fault at once, each with its place.

A `pointer` is a JSON pointer (RFC 6901) into the value, its fields named as in `values`. Names may hold any
characters, emoji and angle brackets included: whoever shows a name escapes it.
"""

import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TypeVar
from unicodedata import category

from tarewell.quantities import sucrose
from tarewell.quantities.errors import QuantityError
from tarewell.quantities.units import AmountKind

from .facts import facts_of
from .hands import FIGURES, Hand, HandStep
from .values import Bottle, Glass, Liquid, Recipe, RecipeDose

MAX_ID = 60
MAX_NAME = 300
MAX_NOTE = 2000
MAX_STEPS = 32
MAX_SUGAR_G_PER_L = 10 * sucrose.HIGHEST_BRIX * sucrose.density_g_per_ml(sucrose.HIGHEST_BRIX)
"""What a syrup of 80 degrees Brix holds."""

T = TypeVar("T")

SHAPE_SHARE = 0.05
"""How far the capacity by a glass's inside may be from its brim, since a curved wall or a round base is no
truncated cone (our choice)."""

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_COLOUR = re.compile(r"#[0-9a-f]{6}")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, and where; `pointer` "" is the whole value."""

    pointer: str
    message: str


def faults_of_liquid(liquid: Liquid) -> list[Fault]:
    """The faults of a liquid."""
    faults = [*_named(liquid.id, liquid.name), *_note(liquid.note)]
    for field, value, most, unit in (
        ("abv_percent", liquid.abv_percent, 100.0, "% vol; US proof is twice that"),
        ("sugar_g_per_l", liquid.sugar_g_per_l, MAX_SUGAR_G_PER_L, "g/l"),
        ("cost_per_l", liquid.cost_per_l, 1e6, "for a litre"),
    ):
        if value is not None and not 0 <= value <= most:
            faults.append(_range(f"/{field}", value, 0, most, unit))
    if not 0 <= liquid.serving_c <= 40:
        faults.append(_range("/serving_c", liquid.serving_c, 0, 40, "°C"))
    if liquid.colour is not None and not _COLOUR.fullmatch(liquid.colour):
        expected = "a colour is # and six hexadecimal digits in lower case, such as #d9a441"
        faults.append(
            Fault("/colour", f"{expected}, got {liquid.colour[:60]!r}; correct it, or leave it out")
        )
    if not faults:
        try:
            facts_of(liquid)
        except QuantityError as error:
            faults.append(Fault("", str(error)))
    return faults


def faults_of_glass(glass: Glass) -> list[Fault]:
    """The faults of a glass."""
    faults = list(_named(glass.id, glass.name))
    if not 5 <= glass.brim_ml <= 5000:
        faults.append(_range("/brim_ml", glass.brim_ml, 5, 5000, "ml"))
    if not glass.headroom_ml >= 0 or not glass.room_ml > 0:
        faults.append(
            Fault(
                "/headroom_ml",
                f"headroom must be from 0 to less than the brim's {glass.brim_ml:g} ml, got "
                f"{glass.headroom_ml:g} ml; correct one of the two",
            )
        )
    lightest, heaviest = glass.lightest_g, glass.heaviest_g
    if (lightest is None) != (heaviest is None):
        pointer = "/lightest_g" if lightest is None else "/heaviest_g"
        faults.append(Fault(pointer, "a glass is recognised by two masses; give both, or neither"))
    if lightest is not None and heaviest is not None and not 1 <= lightest <= heaviest <= 10_000:
        faults.append(
            Fault(
                "/lightest_g",
                "an empty glass must weigh from 1 to 10000 g, the lightest no more than the "
                f"heaviest, got {lightest:g} to {heaviest:g} g; weigh some and correct it",
            )
        )
    return [*faults, *_inside_faults(glass)]


def _inside_faults(glass: Glass) -> Iterator[Fault]:
    inside = {name: getattr(glass, name) for name in ("rim_mm", "base_mm", "height_mm")}
    given = {name: value for name, value in inside.items() if value is not None}
    for name, value in given.items():
        if not 5 <= value <= 1000:
            yield _range(f"/{name}", value, 5, 1000, "mm")
    if given and len(given) < len(inside):
        missing = next(name for name in inside if name not in given)
        yield Fault(f"/{missing}", "a glass is drawn by rim, base and height; give all three, or none")


def warnings_of_glass(glass: Glass) -> list[str]:
    """What is unlikely in a glass without being wrong."""
    shape_ml = glass.shape_ml
    if shape_ml is None or abs(shape_ml - glass.brim_ml) <= SHAPE_SHARE * glass.brim_ml:
        return []
    return [
        f"glass {glass.id}: rim, base and height make {shape_ml:.0f} ml, but its brim is at "
        f"{glass.brim_ml:g} ml; measure the inside again, or fill it to the brim with water and weigh that"
    ]


def faults_of_recipe(
    recipe: Recipe, liquids: Collection[str] | None = None, glasses: Collection[str] | None = None
) -> list[Fault]:
    """The faults of a recipe; given the ids of `liquids` and `glasses`, its unknown names too."""
    faults = [*_named(recipe.id, recipe.name), *_note(recipe.note)]
    if len(recipe.steps) > MAX_STEPS:
        faults.append(Fault("/steps", f"a recipe has at most {MAX_STEPS} steps, got {len(recipe.steps)}"))
    if recipe.volume_ml is not None and not 1 <= recipe.volume_ml <= 10_000:
        faults.append(_range("/volume_ml", recipe.volume_ml, 1, 10_000, "ml"))
    if recipe.price is not None and not 0 <= recipe.price <= 1e6:
        faults.append(_range("/price", recipe.price, 0, 1e6, "for a glass"))
    for at, field, message in step_faults(recipe.steps):
        faults.append(Fault("/steps" if at is None else f"/steps/{at}{field}", message))
    for number, step in enumerate(recipe.steps):
        if isinstance(step, HandStep) and not _is_name(step.what):
            faults.append(Fault(f"/steps/{number}/what", _name_message("what is to be done")))
        if liquids is not None and step.liquid_id is not None and step.liquid_id not in liquids:
            faults.append(Fault(f"/steps/{number}/liquid_id", no_such("liquid", step.liquid_id)))
    if glasses is not None and recipe.glass_id is not None and recipe.glass_id not in glasses:
        faults.append(Fault("/glass_id", no_such("glass", recipe.glass_id)))
    return faults


def step_faults(steps: Sequence[RecipeDose | HandStep]) -> Iterator[tuple[int | None, str, str]]:
    """What makes a recipe impossible: step, field below it and message for each fault."""
    if not any(isinstance(step, RecipeDose) for step in steps):
        yield None, "", "a recipe needs at least one dose for the machine; add one"
    parts, open_steps = False, []
    for number, step in enumerate(steps):
        if step.amount is not None:
            parts = parts or step.amount.kind is AmountKind.PARTS
            if not (isfinite(step.amount.value) and step.amount.value > 0):
                message = f"an amount must be above 0, got {step.amount.value:g}; leave the step out"
                yield number, "/amount", message
        if isinstance(step, HandStep):
            yield from ((number, *fault) for fault in _hand_faults(step))
            if step.brings_liquid and step.amount is None:
                open_steps.append(number)
    if open_steps and (parts or len(open_steps) > 1):
        yield (
            open_steps[-1],
            "/amount",
            (
                "only one step can fill the rest of the glass, and no other amount can then be in parts; "
                "give this top-up an amount or parts"
            ),
        )


def _hand_faults(step: HandStep) -> Iterator[tuple[str, str]]:
    for name, figure in FIGURES.items():
        value = getattr(step, name)
        if name not in step.kind.spec.figures:
            if value:
                kinds = [kind for kind in Hand if name in kind.spec.figures]
                yield f"/{name}", f"only {' or '.join(kinds)} has {name}; make it one, or leave {name} out"
        elif not (isfinite(value) and 0 < value <= figure.max_value):
            expected = f"expected above 0 to {figure.max_value:g} {figure.unit}"
            yield f"/{name}", f"{name} of {step.kind} is {expected}, got {value:g}; {figure.cure}"
    if step.amount is not None and not step.brings_liquid:
        kinds = [kind for kind in Hand if kind.spec.brings_liquid]
        yield "/amount", f"only {' or '.join(kinds)} has an amount; make it one, or leave the amount out"


def faults_of_bottle(
    bottle: Bottle, liquids: Collection[str] | None = None, channels: Collection[int] | None = None
) -> list[Fault]:
    """The faults of a bottle."""
    faults = list(_id(bottle.id))
    if not 1 <= bottle.full_g <= 100_000:
        faults.append(_range("/full_g", bottle.full_g, 1, 100_000, "g"))
    if not (isfinite(bottle.content_g) and bottle.content_g <= bottle.full_g):
        faults.append(
            Fault(
                "/content_g",
                f"a bottle holds at most the {bottle.full_g:g} g of a full one, got "
                f"{bottle.content_g:g} g; correct one of the two",
            )
        )
    if not 0 <= bottle.low_g <= bottle.full_g:
        faults.append(_range("/low_g", bottle.low_g, 0, bottle.full_g, "g"))
    if bottle.tare_g is not None and not 0 < bottle.tare_g <= 100_000:
        faults.append(_range("/tare_g", bottle.tare_g, 1, 100_000, "g"))
    if liquids is not None and bottle.liquid_id not in liquids:
        faults.append(Fault("/liquid_id", no_such("liquid", bottle.liquid_id)))
    if channels is not None and bottle.channel is not None and bottle.channel not in channels:
        faults.append(Fault("/channel", no_such("channel", str(bottle.channel))))
    return faults


def faults_of_setup(
    liquids: Mapping[str, Liquid],
    glasses: Mapping[str, Glass],
    recipes: Mapping[str, Recipe],
    channels: Mapping[int, str | None],
    bottles: Mapping[str, Bottle],
) -> list[Fault]:
    """The faults of a whole set-up: of each part, and names that are unknown or claimed twice.

    Everything is keyed by its id, except `channels`: the liquid's id by the channel's number. The pointers
    use the same keys.
    """
    return [
        *_each("/liquids", liquids, faults_of_liquid),
        *_each("/glasses", glasses, faults_of_glass),
        *_each("/recipes", recipes, lambda recipe: faults_of_recipe(recipe, liquids, glasses)),
        *_channel_faults(channels, liquids),
        *_each("/bottles", bottles, lambda bottle: faults_of_bottle(bottle, liquids, channels)),
        *_mounting_faults(channels, bottles),
    ]


def _channel_faults(channels: Mapping[int, str | None], liquids: Collection[str]) -> Iterator[Fault]:
    for number, liquid_id in channels.items():
        if liquid_id is not None and liquid_id not in liquids:
            yield Fault(f"/channels/{number}/liquid_id", no_such("liquid", liquid_id))


def _mounting_faults(channels: Mapping[int, str | None], bottles: Mapping[str, Bottle]) -> Iterator[Fault]:
    mounted: dict[int, str] = {}
    for key, bottle in bottles.items():
        if bottle.channel is None:
            continue
        if channels.get(bottle.channel) not in (None, bottle.liquid_id):
            yield Fault(
                f"/bottles/{key}/liquid_id",
                f"channel {bottle.channel} is assigned {channels[bottle.channel]}, and this bottle holds "
                f"{bottle.liquid_id}; change one of the two",
            )
        if (first := mounted.setdefault(bottle.channel, key)) != key:
            yield Fault(
                f"/bottles/{key}/channel",
                f"the bottle {first} is already mounted on channel {bottle.channel}; give each its own",
            )


def _each(place: str, values: Mapping[str, T], check: Callable[[T], list[Fault]]) -> Iterator[Fault]:
    for key, value in values.items():
        for fault in check(value):
            yield Fault(f"{place}/{key}{fault.pointer}", fault.message)


def _named(id_: str, name: str) -> Iterator[Fault]:
    yield from _id(id_)
    if not _is_name(name):
        yield Fault("/name", _name_message("a name"))


def _id(id_: str) -> Iterator[Fault]:
    if not _ID.fullmatch(id_) or len(id_) > MAX_ID:
        yield Fault(
            "/id",
            f"an id is up to {MAX_ID} lower-case letters and digits with single hyphens "
            f"between, such as house-gin, got {id_[:40]!r}; choose another",
        )


def _note(note: str) -> Iterator[Fault]:
    if len(note) > MAX_NOTE:
        yield Fault("/note", f"a note has up to {MAX_NOTE} characters, got {len(note)}; shorten it")


def _is_name(text: str) -> bool:
    return 0 < len(text) <= MAX_NAME and bool(text.strip()) and all(category(c) != "Cc" for c in text)


def _name_message(what: str) -> str:
    return f"{what} needs 1 to {MAX_NAME} characters on one line; correct it"


def _range(pointer: str, value: float, low: float, high: float, unit: str) -> Fault:
    return Fault(pointer, f"must be from {low:g} to {high:g} {unit}, got {value:g}; correct it")


def no_such(what: str, id_: str) -> str:
    """The message for an unknown id."""
    return f"there is no {what} {id_[:60]!r}; add it first, or correct the id"
