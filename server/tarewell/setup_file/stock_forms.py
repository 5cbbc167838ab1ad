"""The forms of bottles and channels."""

from datetime import datetime
from typing import Annotated, Self

from pydantic import ConfigDict, Field, StringConstraints

from tarewell.menu.checks import Fault, faults_of_bottle
from tarewell.menu.values import Bottle, Liquid
from tarewell.records.values import Channel
from tarewell_protocol.messages import CHANNELS_MAX

from .example import example
from .forms import MOMENT, Form, Name, Slug, require_none

LOW_SHARE = 0.1
"""By default a bottle counts as low at a tenth of its content."""

_MOUNTED = example("bottles", "gallery-1")
_SHELVED = {name: value for name, value in _MOUNTED.items() if name != "channel"}

Moment = Annotated[
    str,
    StringConstraints(max_length=32, pattern=MOMENT),
    Field(description="UTC, RFC 3339, such as 2031-03-14T18:30:00Z"),
]


class BottleFacts(Form):
    """The fields of a bottle that forms and responses share."""

    liquid_id: Slug
    tare_g: float | None = Field(
        default=None,
        gt=0,
        description="mass of the empty bottle; with it the content can be corrected by weighing",
    )
    opened_at: Moment | None = Field(default=None, description="null: not opened")


class BottleForm(BottleFacts):
    """A bottle: its capacity, by `full_g` or `full_ml`, and its content.

    `content_g` counts for a new bottle; afterwards pours and weighings change it.
    """

    model_config = ConfigDict(json_schema_extra={"examples": [_SHELVED]})

    full_g: float | None = Field(
        default=None, gt=0, description="mass of the liquid in a full one, without glass"
    )
    full_ml: float | None = Field(default=None, gt=0, description="or its volume, by the label")
    content_g: float | None = Field(default=None, ge=0, description="mass of its content; default full")
    low_g: float | None = Field(
        default=None, ge=0, description="counts as low from here down; default a tenth of a full one"
    )

    def bottle(self, bottle_id: str, liquid: Liquid, channel: int | None = None) -> Bottle:
        """The bottle, holding `liquid`, mounted on `channel`.

        Raises:
            FormError: neither or both of `full_g` and `full_ml`, or contradictory fields.
        """
        if (self.full_g is None) == (self.full_ml is None):
            pointer = "/full_g" if self.full_ml is None else "/full_ml"
            require_none([Fault(pointer, "give exactly one of full_g and full_ml")])
        full_g = self.full_g or round((self.full_ml or 0.0) * liquid.serving_density.g_per_ml, 1)
        if self.opened_at is not None and not _is_moment(self.opened_at):
            require_none(
                [Fault("/opened_at", f"there is no such day or hour as {self.opened_at}; correct it")]
            )
        bottle = Bottle(
            id=bottle_id,
            content_g=full_g if self.content_g is None else self.content_g,
            full_g=full_g,
            low_g=round(LOW_SHARE * full_g, 1) if self.low_g is None else self.low_g,
            channel=channel,
            **self.model_dump(include=set(BottleFacts.model_fields)),
        )
        require_none(faults_of_bottle(bottle))
        return bottle


class MountedBottleForm(BottleForm):
    """A bottle in a set-up file, with its channel."""

    model_config = ConfigDict(json_schema_extra={"examples": [_MOUNTED]})

    channel: int | None = Field(default=None, ge=1, le=CHANNELS_MAX, description="null: on the shelf")

    @classmethod
    def of(cls, bottle: Bottle) -> Self:
        """The form of a bottle; the content to 0.1 g."""
        return cls.taken_from(
            bottle,
            full_ml=None,
            content_g=max(round(bottle.content_g, 1), 0.0),
            opened_at=None if bottle.opened_at is None else _shortened(bottle.opened_at),
        )


def _is_moment(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def _shortened(moment: str) -> str:
    """A stored time without the fraction of a second."""
    return f"{moment.removesuffix('Z').partition('.')[0]}Z"


class ChannelForm(Form):
    """A pump with its tube: its name, and its assigned liquid; `liquid_id` null: none."""

    model_config = ConfigDict(json_schema_extra={"examples": [example("channels", "4")]})

    liquid_id: Slug | None = None
    name: Name

    def channel(self, number: int) -> Channel:
        """The channel."""
        return Channel(number=number, **dict(self))

    @classmethod
    def of(cls, channel: Channel) -> Self:
        """The form of a channel."""
        return cls.taken_from(channel)
