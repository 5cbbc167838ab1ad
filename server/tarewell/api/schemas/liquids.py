"""Liquids and the channels they hang on."""

from dataclasses import replace
from typing import Annotated, Self

from pydantic import ConfigDict, Field, JsonValue, StringConstraints

from tarewell.menu.allergens import Allergen
from tarewell.menu.values import Liquid
from tarewell.quantities.density import HEAVIEST_G_PER_ML, LIGHTEST_G_PER_ML, Origin, entered
from tarewell.records.liquids import SLUG_MOST
from tarewell.records.values import Channel

from . import Body, Name, View

LIQUID_ID = r"^[a-z0-9]+(-[a-z0-9]+)*$"

_CORDIAL: dict[str, JsonValue] = {
    "name": "Prompter's Cordial",
    "density_g_per_ml": 1.127,
    "density_origin": "brix",
    "abv_percent": 0.0,
    "allergens": [],
}
_SPIRIT: dict[str, JsonValue] = {
    "name": "Footlight Spirit",
    "density_g_per_ml": 0.948,
    "density_origin": "strength",
    "abv_percent": 40.0,
    "allergens": None,
}


class LiquidBody(Body):
    """A liquid as it is put."""

    model_config = ConfigDict(json_schema_extra={"examples": [_CORDIAL, _SPIRIT]})

    name: Name
    density_g_per_ml: float = Field(
        ge=LIGHTEST_G_PER_ML, le=HEAVIEST_G_PER_ML, description="at 20 °C, in g/ml"
    )
    density_origin: Origin = Field(
        default=Origin.ENTERED, strict=False, description="where the density comes from"
    )
    abv_percent: float | None = Field(
        default=None, ge=0, le=100, description="alcoholic strength in % by volume; null when it is not known"
    )
    allergens: list[Annotated[Allergen, Field(strict=False)]] | None = Field(
        default=None,
        description="allergens of Annex II of Regulation (EU) No 1169/2011 as the label declares them; "
        "null means nobody has looked",
    )

    def liquid(self, liquid_id: str) -> Liquid:
        """As it is stored."""
        density = entered(self.density_g_per_ml)
        return Liquid(
            id=liquid_id,
            name=self.name,
            density=replace(density, origin=self.density_origin),
            allergens=None if self.allergens is None else frozenset(self.allergens),
            abv_percent=self.abv_percent,
        )


class LiquidView(View):
    """A liquid. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"id": "prompters-cordial", **_CORDIAL, "active": True}]}
    )

    id: str
    name: str
    density_g_per_ml: float
    density_origin: Origin
    abv_percent: float | None
    allergens: list[Allergen] | None
    active: bool

    @classmethod
    def of(cls, liquid: Liquid) -> Self:
        """From the store's liquid."""
        return cls(
            id=liquid.id,
            name=liquid.name,
            density_g_per_ml=liquid.density.g_per_ml,
            density_origin=liquid.density.origin,
            abv_percent=liquid.abv_percent,
            allergens=None if liquid.allergens is None else sorted(liquid.allergens),
            active=liquid.active,
        )


class ChannelBody(Body):
    """What hangs on a channel; `liquid_id` null takes the liquid off."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"liquid_id": "prompters-cordial", "name": "left of the till"}]}
    )

    liquid_id: Annotated[str, StringConstraints(pattern=LIQUID_ID, max_length=SLUG_MOST)] | None
    name: Name


class ChannelView(View):
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
