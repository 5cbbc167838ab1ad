"""Liquids and the channels they are assigned to."""

from typing import Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.menu.values import ChannelFacts, Liquid
from tarewell.quantities.density import Origin
from tarewell.records.values import Channel
from tarewell.setup_file.example import example
from tarewell.setup_file.liquid_forms import LiquidFacts, LiquidForm
from tarewell.setup_file.stock_forms import ChannelForm

from . import CatalogueView, Slug, Tagged
from .maintenance import NeedFacts, need_facts

_CORDIAL: dict[str, JsonValue] = {
    "id": "prompters-cordial",
    **LiquidForm.model_validate(example("liquids", "prompters-cordial")).model_dump(
        mode="json", include=set(LiquidFacts.model_fields)
    ),
    "density_g_per_ml": 1.127032,
    "density_uncertainty_g_per_ml": 0.002425,
    "density_at_c": 20.0,
    "density_origin": "brix",
    "serving_density_g_per_ml": 1.127032,
    "serving_density_uncertainty_g_per_ml": 0.002425,
    "sugar_g_per_l": 338.11,
    "shown_colour": "#6f9e3f",
    "active": True,
}


class LiquidBody(LiquidForm):
    """A liquid to put: its density stated, weighed, or from `brix`, or from strength and sugar."""


class LiquidView(LiquidFacts, CatalogueView):
    """A liquid. A retired one (`active` false) stays for the history."""

    model_config = ConfigDict(json_schema_extra={"examples": [_CORDIAL]})

    density_g_per_ml: float = Field(description="as determined, at density_at_c")
    density_uncertainty_g_per_ml: float = Field(description="half-width, 19 times out of 20")
    density_at_c: float
    density_origin: Origin
    serving_density_g_per_ml: float = Field(description="as poured, at serving_c")
    serving_density_uncertainty_g_per_ml: float
    shown_colour: str = Field(description="`colour`, or one unlike those of the other liquids; #rrggbb")
    untagged = CatalogueView.untagged | {"shown_colour"}

    @classmethod
    def of(cls, liquid: Liquid, shown_colour: str) -> Self:
        """From the store's liquid, and its colour among the others."""
        serving = liquid.serving_density
        return cls.of_liquid(
            liquid,
            serving_density_g_per_ml=round(serving.g_per_ml, 6),
            serving_density_uncertainty_g_per_ml=round(serving.uncertainty_g_per_ml, 6),
            shown_colour=shown_colour,
        )


class ChannelBody(ChannelForm):
    """The liquid and name of a channel; `liquid_id` null: none is assigned."""

    liquid_id: Slug | None


class ChannelView(ChannelForm, Tagged):
    """A pump with its tube, and its liquid's id."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"number": 4, **example("channels", "4")}]})

    number: int


class ListedChannelView(NeedFacts, ChannelView):
    """A channel with what it needs before it may pour a drink, and what pouring has taught of it. Its tag is
    that of the channel alone."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "number": 4,
                    **example("channels", "4"),
                    "need": "none",
                    "message": "channel 4 is ready",
                    "steps": [],
                    "residue": [],
                    "usual_flow_g_per_s": 8.3,
                    "smallest_dose_g": 2.0,
                }
            ]
        }
    )
    usual_flow_g_per_s: float | None = Field(description="at full speed, as learned; null: never seen")
    smallest_dose_g: float = Field(description="the smallest that is trusted there")
    untagged = Tagged.untagged | NeedFacts.model_fields.keys() | {"usual_flow_g_per_s", "smallest_dose_g"}

    @classmethod
    def of_channel(cls, channel: Channel, facts: ChannelFacts) -> Self:
        """From the store's channel and the planner's facts."""
        return cls.taken_from(
            channel,
            **need_facts(facts),
            usual_flow_g_per_s=round(facts.flow_g_per_s, 2) or None,
            smallest_dose_g=facts.smallest_dose_g,
        )
