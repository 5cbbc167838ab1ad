"""Bottles, their movements, and the stock as a whole."""

from datetime import datetime, timedelta
from typing import Self

from pydantic import ConfigDict, Field, JsonValue, model_validator

from tarewell.menu.ledger import Level, level_of
from tarewell.menu.outlook import ChannelOutlook, DrawnLately, DrinksLeft, outlook, runs_out_first
from tarewell.menu.values import Bottle, Liquid, Menu, Movement
from tarewell.quantities.units import SmallMeasures
from tarewell.records.values import StockMovement
from tarewell.setup_file.example import example
from tarewell.setup_file.stock_forms import BottleFacts, BottleForm, MountedBottleForm
from tarewell_protocol.messages import CHANNELS_MAX

from . import Body, Slug, Tagged, View

MAX_LASTS_S = 7 * 86400.0
"""Beyond a week a pace says nothing."""

_BOTTLE: dict[str, JsonValue] = {
    "id": "cordial-2",
    **MountedBottleForm.model_validate(example("bottles", "cordial-1")).model_dump(
        mode="json", include=set(BottleFacts.model_fields)
    ),
    "content_g": 612.4,
    "full_g": 1127.0,
    "low_g": 112.7,
    "channel": 4,
    "opened_at": "2031-03-14T18:30:00Z",
    "level": "enough",
}


class BottleBody(BottleForm):
    """A bottle to put; mounting it is a request of its own."""


class BottleView(BottleFacts, Tagged):
    """A bottle with its content by the ledger; `channel` null: on the shelf."""

    model_config = ConfigDict(json_schema_extra={"examples": [_BOTTLE]})

    id: str
    content_g: float
    full_g: float
    low_g: float
    channel: int | None
    level: Level

    @classmethod
    def of(cls, bottle: Bottle) -> Self:
        """From the store's bottle; masses to 0.1 g."""
        return cls.taken_from(bottle, content_g=round(bottle.content_g, 1), level=level_of(bottle))


class MountBody(Body):
    """The channel for the bottle."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"channel": 4}]})

    channel: int = Field(ge=1, le=CHANNELS_MAX)


class SwapBody(Body):
    """The bottle that replaces the one on the channel."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"bottle_id": "cordial-2", "emptied": True},
                {"bottle_id": "cordial-3", "new": {"liquid_id": "prompters-cordial", "full_ml": 700}},
            ]
        }
    )

    bottle_id: Slug
    new: BottleForm | None = Field(
        default=None, description="add the bottle first; there must be none of this id yet"
    )
    emptied: bool = Field(default=False, description="write off what the records have of the old bottle")


class WeighBody(Body):
    """The mass of the bottle with its content, or of its content: exactly one of the two."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"gross_g": 1018.5}, {"content_g": 606.5}]})

    gross_g: float | None = Field(default=None, gt=0, description="bottle and content on the scale")
    content_g: float | None = Field(default=None, ge=0, description="content alone, measured in any way")

    @model_validator(mode="after")
    def _one_mass(self) -> Self:
        if (self.gross_g is None) == (self.content_g is None):
            raise ValueError("give exactly one of gross_g and content_g")
        return self


class MovementView(View):
    """A line of a bottle's ledger: above 0 for liquid in, below 0 for liquid out."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "at": "2031-03-14T19:42:31.480000Z",
                    "kind": "pour",
                    "change_g": -22.6,
                    "pour": "/v1/pours/01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                }
            ]
        }
    )

    at: datetime
    kind: Movement
    change_g: float
    pour: str | None = Field(description="link to the pour behind it")

    @classmethod
    def of(cls, movement: StockMovement) -> Self:
        """From the store's line."""
        return cls(
            at=movement.at,
            kind=movement.kind,
            change_g=round(movement.change_g, 2),
            pour=None if movement.pour_id is None else f"/v1/pours/{movement.pour_id}",
        )


class StockLiquidView(View):
    """The stock of one liquid: mounted, on the shelf, and its bottles."""

    liquid_id: str
    name: str
    mounted_g: float
    shelf_g: float
    level: Level = Field(description="of the fullest mounted bottle; empty when none is mounted")
    bottles: list[BottleView]

    @classmethod
    def of(cls, liquid_id: str, name: str, bottles: list[Bottle]) -> Self:
        """From its bottles."""
        levels = [level_of(bottle) for bottle in bottles if bottle.channel is not None]
        return cls(
            liquid_id=liquid_id,
            name=name,
            mounted_g=round(sum(b.content_g for b in bottles if b.channel is not None), 1),
            shelf_g=round(sum(b.content_g for b in bottles if b.channel is None), 1),
            level=next((level for level in Level if level in levels), Level.EMPTY),
            bottles=[BottleView.of(bottle) for bottle in bottles],
        )


class StockView(View):
    """Every liquid with its bottles."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "liquids": [
                        {
                            "liquid_id": "prompters-cordial",
                            "name": "Prompter's Cordial",
                            "mounted_g": 612.4,
                            "shelf_g": 0.0,
                            "level": "enough",
                            "bottles": [_BOTTLE],
                        }
                    ]
                }
            ]
        }
    )

    liquids: list[StockLiquidView]


class DrinksLeftView(View):
    """How many of a drink the bottle is good for, at `dose_g` each, if nothing else takes of it."""

    recipe_id: str
    name: str
    dose_g: float
    count: int

    @classmethod
    def of(cls, left: DrinksLeft) -> Self:
        """From the planner's count."""
        return cls(recipe_id=left.recipe_id, name=left.name, dose_g=round(left.dose_g, 1), count=left.count)


class ChannelOutlookView(View):
    """A channel with its bottle, and how long that lasts."""

    channel: int
    liquid_id: str
    bottle_id: str | None = Field(description="null: none is mounted")
    content_g: float
    content_ml: float
    level: Level
    drinks: list[DrinksLeftView] = Field(description="by name")
    pace_g_per_h: float = Field(description="what drinks had of it lately; 0: nothing")
    empty_at: datetime | None = Field(description="at that pace; null: nothing was drawn")

    @classmethod
    def of(cls, found: ChannelOutlook, liquid: Liquid, now: datetime) -> Self:
        """From the planner's outlook at the time `now`."""
        bottle, lasts_s = found.channel.bottle, found.lasts_s
        content_g = 0.0 if bottle is None else bottle.content_g
        return cls(
            channel=found.channel.number,
            liquid_id=liquid.id,
            bottle_id=None if bottle is None else bottle.id,
            content_g=round(content_g, 1),
            content_ml=round(content_g / liquid.serving_density.g_per_ml, 1),
            level=Level.EMPTY if bottle is None else level_of(bottle),
            drinks=[DrinksLeftView.of(left) for left in found.drinks],
            pace_g_per_h=round(found.pace_g_per_h, 1),
            empty_at=None if lasts_s is None or lasts_s > MAX_LASTS_S else now + timedelta(seconds=lasts_s),
        )


class OutlookView(View):
    """How long the mounted bottles last."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "at": "2031-03-14T20:15:00Z",
                    "span_s": 3600.0,
                    "first": 4,
                    "channels": [
                        {
                            "channel": 4,
                            "liquid_id": "prompters-cordial",
                            "bottle_id": "cordial-2",
                            "content_g": 612.4,
                            "content_ml": 543.4,
                            "level": "enough",
                            "drinks": [
                                {
                                    "recipe_id": "green-room-cooler",
                                    "name": "Green Room Cooler",
                                    "dose_g": 52.3,
                                    "count": 11,
                                }
                            ],
                            "pace_g_per_h": 313.8,
                            "empty_at": "2031-03-14T22:12:06Z",
                        }
                    ],
                }
            ]
        }
    )

    at: datetime
    span_s: float = Field(description="the time by which the pace is counted, in s")
    first: int | None = Field(description="the channel that is empty first; null: nothing was drawn lately")
    channels: list[ChannelOutlookView]

    @classmethod
    def of(cls, menu: Menu, lately: DrawnLately, small: SmallMeasures, now: datetime) -> Self:
        """From menu, stock and what drinks had at the time `now`."""
        found = outlook(menu, lately, small)
        first = runs_out_first(found)
        return cls(
            at=now,
            span_s=lately.span_s,
            first=None if first is None else first.channel.number,
            channels=[
                ChannelOutlookView.of(item, menu.liquids[item.channel.liquid_id], now)
                for item in found
                if item.channel.liquid_id in menu.liquids
            ],
        )
