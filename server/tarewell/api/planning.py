"""From the request for a pour to a plan in grams."""

from tarewell.dosing.plan import DosePlan, PlanError, PourPlan
from tarewell.menu.values import Liquid
from tarewell.records.store import Store

from .schemas.pour_requests import DoseBody, PourBody


async def plan_of(body: PourBody, store: Store) -> PourPlan:
    """The plan; volumes become masses by the density of the channel's liquid.

    Raises:
        PlanError: a channel that is not set up or has no liquid.
    """
    channels = {channel.number: channel.liquid_id for channel in await store.channels.all()}
    liquids = {liquid.id: liquid for liquid in await store.liquids.all(retired=True)}
    doses, volume_ml = [], 0.0
    for index, dose in enumerate(body.doses):
        if dose.channel not in channels:
            known = ", ".join(map(str, sorted(channels))) or "none"
            raise PlanError(
                f"there is no channel {dose.channel}; the channels set up are {known}; "
                f"PUT /v1/channels/{dose.channel} sets up another",
                index,
            )
        liquid_id = channels[dose.channel]
        if liquid_id is None:
            raise PlanError(
                f"channel {dose.channel} has no liquid; PUT /v1/channels/{dose.channel} assigns one", index
            )
        liquid = liquids[liquid_id]
        target_g = _mass_g(dose, liquid)
        volume_ml += target_g / liquid.serving_density.g_per_ml
        doses.append(DosePlan(dose.channel, liquid_id, target_g))
    if body.glass_holds_ml is None:
        return PourPlan(tuple(doses))
    total_g = sum(dose.target_g for dose in doses)
    return PourPlan(tuple(doses), glass_holds_g=body.glass_holds_ml * total_g / volume_ml)


def _mass_g(dose: DoseBody, liquid: Liquid) -> float:
    if dose.amount_g is not None:
        return dose.amount_g
    if dose.amount_ml is not None:
        return dose.amount_ml * liquid.serving_density.g_per_ml
    raise ValueError("the schema admits no dose without an amount")
