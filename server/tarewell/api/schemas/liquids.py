"""Liquids and the channels they hang on."""

from typing import Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.menu.allergens import Allergen
from tarewell.menu.values import Liquid
from tarewell.quantities.density import Origin
from tarewell.records.values import Channel
from tarewell.setup_file.liquid_forms import LiquidForm
from tarewell.setup_file.stock_forms import ChannelForm

from . import Slug, Tagged

_CORDIAL: dict[str, JsonValue] = {
    "id": "prompters-cordial",
    "name": "Prompter's Cordial",
    "density_g_per_ml": 1.127008,
    "density_uncertainty_g_per_ml": 0.002408,
    "density_at_c": 20.0,
    "density_origin": "brix",
    "serving_density_g_per_ml": 1.129961,
    "serving_density_uncertainty_g_per_ml": 0.002479,
    "abv_percent": 0.0,
    "sugar_g_per_l": 338.1,
    "allergens": [],
    "cost_per_l": 4.2,
    "serving_c": 8.0,
    "note": "",
    "active": True,
}


class LiquidBody(LiquidForm):
    """A liquid as it is put: its density stated, weighed, or from `brix`, or from strength and sugar."""


class LiquidView(Tagged):
    """A liquid. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(json_schema_extra={"examples": [_CORDIAL]})

    id: str
    name: str
    density_g_per_ml: float = Field(description="as found, at density_at_c")
    density_uncertainty_g_per_ml: float = Field(description="half-width, 19 times out of 20")
    density_at_c: float
    density_origin: Origin
    serving_density_g_per_ml: float = Field(description="as it is poured, at serving_c")
    serving_density_uncertainty_g_per_ml: float
    abv_percent: float | None = Field(description="% by volume at 20 °C; null: not known")
    sugar_g_per_l: float | None
    allergens: list[Allergen] | None = Field(description="null: nobody has looked")
    cost_per_l: float | None
    serving_c: float
    note: str
    active: bool

    @classmethod
    def of(cls, liquid: Liquid) -> Self:
        """From the store's liquid."""
        serving = liquid.serving_density
        return cls(
            id=liquid.id,
            name=liquid.name,
            density_g_per_ml=liquid.density.g_per_ml,
            density_uncertainty_g_per_ml=liquid.density.uncertainty_g_per_ml,
            density_at_c=liquid.density.at_c,
            density_origin=liquid.density.origin,
            serving_density_g_per_ml=round(serving.g_per_ml, 6),
            serving_density_uncertainty_g_per_ml=round(serving.uncertainty_g_per_ml, 6),
            abv_percent=liquid.abv_percent,
            sugar_g_per_l=liquid.sugar_g_per_l,
            allergens=None if liquid.allergens is None else sorted(liquid.allergens),
            cost_per_l=liquid.cost_per_l,
            serving_c=liquid.serving_c,
            note=liquid.note,
            active=liquid.active,
        )


class ChannelBody(ChannelForm):
    """What hangs on a channel; `liquid_id` null takes the liquid off."""

    liquid_id: Slug | None


class ChannelView(Tagged):
    """A pump with its tube, and its liquid's id."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"number": 4, "name": "left of the till", "liquid_id": "prompters-cordial"}]
        }
    )

    number: int
    name: str
    liquid_id: str | None

    @classmethod
    def of(cls, channel: Channel) -> Self:
        """From the store's channel."""
        return cls(number=channel.number, name=channel.name, liquid_id=channel.liquid_id)
