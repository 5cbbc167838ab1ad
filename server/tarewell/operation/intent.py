"""From a request to the intent that is committed before a pump may turn."""

from collections.abc import Mapping
from dataclasses import replace

from tarewell.dosing.plan import DosePlan, PlanError, check_plan
from tarewell.dosing.setup import PourSetup
from tarewell.menu.values import Liquid
from tarewell.records.values import Channel, NewDose, NewPour
from tarewell.settings import Settings
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Identity

from .requests import PourRequest

_NO_CALIBRATION = Calibration(0.0, 1.0)


def intent_of(
    request: PourRequest,
    channels: Mapping[int, Channel],
    liquids: Mapping[str, Liquid],
    identity: Identity | None,
    settings: Settings,
) -> NewPour:
    """The intent, but for calibration and in-flight knowledge, which the caller puts into its setup.

    Raises:
        PlanError: the plan does not fit this machine as it is set up now.
    """
    plan = request.plan
    usable = {number for number, channel in channels.items() if channel.liquid_id is not None}
    setup = PourSetup(plan, _NO_CALIBRATION, rating=settings.scale, settings=settings.dosing)
    if identity is not None:
        usable = {number for number in usable if number <= identity.channels}
        variable_speed = "v" in identity.abilities
        setup = replace(setup, sample_rate_hz=identity.sample_rate_hz, variable_speed=variable_speed)
    check_plan(plan, frozenset(usable), settings.scale.max_g)
    doses = [_dose(index, dose, channels, liquids) for index, dose in enumerate(plan.doses)]
    return NewPour(
        setup=setup,
        doses=tuple(doses),
        origin=request.origin,
        idempotency_key=request.key,
        fingerprint=request.fingerprint,
        board_id=None if identity is None else identity.board_id,
        board_firmware=None if identity is None else identity.firmware,
        recipe=request.recipe,
    )


def _dose(
    index: int, dose: DosePlan, channels: Mapping[int, Channel], liquids: Mapping[str, Liquid]
) -> NewDose:
    hanging = channels[dose.channel].liquid_id
    if hanging != dose.liquid_id:
        raise PlanError(
            f"channel {dose.channel} holds {hanging}, not {dose.liquid_id}; "
            "plan the drink again, or assign the liquid to the channel",
            index,
        )
    liquid = liquids.get(dose.liquid_id)
    if liquid is None:
        raise PlanError(f"there is no liquid {dose.liquid_id} in use; add it first", index)
    return NewDose(
        channel=dose.channel,
        liquid_id=dose.liquid_id,
        liquid_name=liquid.name,
        density_g_per_ml=liquid.serving_density.g_per_ml,
        target_g=dose.target_g,
        abv_percent=liquid.abv_percent,
    )
