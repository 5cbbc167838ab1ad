"""Plain channels as choices: a liquid and an amount in millilitres."""

from collections.abc import Sequence
from math import ceil, floor

from tarewell.dosing.plan import SMALLEST_DOSE_G, DosePlan, PlanError, PourPlan
from tarewell.menu.values import Liquid
from tarewell.records.store import Store
from tarewell.weighing.scale import ScaleRating

from .choices import Choice, ChosenPour, Measure

DEFAULT_ML = 40
"""The first amount shown for a liquid."""

GLASS_SHARE = 0.5
"""Share of Max reserved for the glass."""


class ChannelChoices:
    """Each channel with a liquid, by number."""

    def __init__(self, store: Store, scale: ScaleRating) -> None:
        self._store = store
        self._scale = scale

    async def available(self) -> Sequence[Choice]:
        """The channels with a liquid of which this scale can weigh a dose."""
        liquids = {liquid.id: liquid for liquid in await self._store.liquids.all()}
        choices = []
        for channel in await self._store.channels.all():
            liquid = liquids.get(channel.liquid_id or "")
            if liquid is not None and (measure := self._measure(liquid)) is not None:
                choices.append(Choice(_key(channel.number, liquid.id), liquid.name, (measure,)))
        return choices

    def _measure(self, liquid: Liquid) -> Measure | None:
        density_g_per_ml = liquid.serving_density.g_per_ml
        smallest = ceil(SMALLEST_DOSE_G / density_g_per_ml)
        largest = floor((1 - GLASS_SHARE) * self._scale.max_g / density_g_per_ml)
        if smallest > largest:
            return None
        default = min(max(DEFAULT_ML, smallest), largest)
        return Measure("millilitres", "ml", smallest, largest, 1, default)

    async def plan(self, chosen: ChosenPour) -> PourPlan:
        """One dose, by the present density.

        Raises:
            PlanError: the channel was assigned another liquid meanwhile.
            StoreError: the records cannot be read.
        """
        liquids = {liquid.id: liquid for liquid in await self._store.liquids.all()}
        for channel in await self._store.channels.all():
            liquid = liquids.get(channel.liquid_id or "")
            if liquid is not None and _key(channel.number, liquid.id) == chosen.choice.key:
                target_g = chosen.amount * liquid.serving_density.g_per_ml
                return PourPlan((DosePlan(channel.number, liquid.id, target_g),))
        raise PlanError(f"{chosen.choice.title} is no longer assigned to this channel; choose again")


def _key(number: int, liquid_id: str) -> str:
    return f"channel:{number}:{liquid_id}"
