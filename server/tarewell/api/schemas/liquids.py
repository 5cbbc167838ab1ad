"""Liquids and the channels they hang on."""

from typing import Annotated, Self

from pydantic import ConfigDict, Field, JsonValue, StringConstraints

from tarewell.records.liquids import SLUG_MOST
from tarewell.records.values import Channel, Liquid

from . import NO_CONTROLS, Body, Name, View

LIQUID_ID = r"^[a-z0-9]+(-[a-z0-9]+)*$"

Note = Annotated[str, StringConstraints(min_length=1, max_length=300, pattern=NO_CONTROLS)]

_CORDIAL: dict[str, JsonValue] = {
    "name": "Prompter's Cordial",
    "density_g_per_ml": 1.127,
    "density_origin": "30 °Bx sucrose solution at 20 °C, handbook table",
    "abv_percent": 0.0,
    "allergens": "none declared on the label",
}
_SPIRIT: dict[str, JsonValue] = {
    "name": "Footlight Spirit",
    "density_g_per_ml": 0.948,
    "density_origin": "40 % vol ethanol and water at 20 °C, OIML R 22",
    "abv_percent": 40.0,
    "allergens": None,
}


class LiquidBody(Body):
    """A liquid as it is put."""

    model_config = ConfigDict(json_schema_extra={"examples": [_CORDIAL, _SPIRIT]})

    name: Name
    density_g_per_ml: float = Field(ge=0.5, le=2.0, description="at serving temperature, in g/ml")
    density_origin: Note = Field(
        default="not stated", description="where the density comes from: a table, the label, a weighing"
    )
    abv_percent: float | None = Field(
        default=None, ge=0, le=100, description="alcoholic strength in % by volume; null when it is not known"
    )
    allergens: Note | None = Field(
        default=None, description="allergens as the label declares them; null means nobody has looked"
    )

    def liquid(self, liquid_id: str) -> Liquid:
        """As it is stored."""
        return Liquid(
            id=liquid_id,
            name=self.name,
            density_g_per_ml=self.density_g_per_ml,
            density_origin=self.density_origin,
            allergens=self.allergens,
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
    density_origin: str
    abv_percent: float | None
    allergens: str | None
    active: bool

    @classmethod
    def of(cls, liquid: Liquid) -> Self:
        """From the store's liquid."""
        return cls(
            id=liquid.id,
            name=liquid.name,
            density_g_per_ml=liquid.density_g_per_ml,
            density_origin=liquid.density_origin,
            abv_percent=liquid.abv_percent,
            allergens=liquid.allergens,
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
