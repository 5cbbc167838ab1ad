"""How long the bottles on the channels last: how many of which drink, and until when at the present pace."""

from collections.abc import Mapping
from dataclasses import dataclass

from tarewell.quantities.units import SmallMeasures

from .compiling import machine_doses
from .draft import Wish, draft_of
from .supply import ROUNDING_G, needs_of
from .values import ChannelFacts, Menu

WINDOW_S = 3600.0
"""The pace is that of the drinks of the last hour ..."""

MIN_SPAN_S = 600.0
"""... or since the first of them, but of 10 min at least: the first drink of an evening is no rush."""


@dataclass(frozen=True, slots=True)
class DrawnLately:
    """What drinks have drawn from each channel within `WINDOW_S`, in g; the first of them began `ago_s`
    ago."""

    by_channel_g: Mapping[int, float]
    ago_s: float = 0.0

    @property
    def span_s(self) -> float:
        """The time by which a pace is counted."""
        return min(max(self.ago_s, MIN_SPAN_S), WINDOW_S)


@dataclass(frozen=True, slots=True)
class DrinksLeft:
    """How many of a recipe the bottle on a channel is good for, at `dose_g` each, if nothing else takes of
    it."""

    recipe_id: str
    name: str
    dose_g: float
    count: int


@dataclass(frozen=True, slots=True)
class ChannelOutlook:
    """A channel with its bottle: `lasts_s` at `pace_g_per_h` (None: nothing was drawn lately)."""

    channel: ChannelFacts
    drinks: tuple[DrinksLeft, ...]
    pace_g_per_h: float
    lasts_s: float | None


def outlook(menu: Menu, lately: DrawnLately, small: SmallMeasures) -> list[ChannelOutlook]:
    """The outlook for each channel with a liquid, by number."""
    doses = _doses_g(menu, small)
    return [
        _of(channel, doses.get(channel.liquid_id, {}), menu, lately)
        for _, channel in sorted(menu.channels.items())
        if channel.liquid_id is not None
    ]


def runs_out_first(found: list[ChannelOutlook]) -> ChannelOutlook | None:
    """The channel that is empty first at the present pace; None: nothing was drawn lately."""
    paced = [(item.lasts_s, item.channel.number, item) for item in found if item.lasts_s is not None]
    return min(paced)[2] if paced else None


def _doses_g(menu: Menu, small: SmallMeasures) -> dict[str, dict[str, float]]:
    """By liquid: what each active recipe takes of it in one drink."""
    found: dict[str, dict[str, float]] = {}
    for recipe in menu.recipes.values():
        if not recipe.active:
            continue
        draft = draft_of(menu, recipe, Wish(), small, {})
        if not draft.blockers:
            for liquid_id, need in needs_of(machine_doses(draft)).items():
                found.setdefault(liquid_id, {})[recipe.id] = need.total_g
    return found


def _of(
    channel: ChannelFacts, doses_g: Mapping[str, float], menu: Menu, lately: DrawnLately
) -> ChannelOutlook:
    content_g = 0.0 if channel.bottle is None else max(channel.bottle.content_g, 0.0)
    pace_g_per_s = lately.by_channel_g.get(channel.number, 0.0) / lately.span_s
    drinks = [
        DrinksLeft(recipe_id, menu.recipes[recipe_id].name, dose_g, int((content_g + ROUNDING_G) / dose_g))
        for recipe_id, dose_g in doses_g.items()
        if dose_g > 0
    ]
    return ChannelOutlook(
        channel,
        tuple(sorted(drinks, key=lambda drink: (drink.name, drink.recipe_id))),
        pace_g_per_s * 3600,
        content_g / pace_g_per_s if pace_g_per_s > 0 else None,
    )
