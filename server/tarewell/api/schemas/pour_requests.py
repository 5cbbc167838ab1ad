"""What is asked of pours: bodies of requests, and filters of lists."""

from typing import Literal, Self

from pydantic import ConfigDict, Field, model_validator

from tarewell.records.values import MAX_PAGE, PourQuery
from tarewell.setup_file.forms import MAX_SLUG

from . import Body
from .periods import PeriodFilter


class DoseBody(Body):
    """One channel's share: exactly one of `amount_g` and `amount_ml`."""

    channel: int = Field(ge=1, le=255)
    amount_g: float | None = Field(default=None, gt=0, description="mass in g")
    amount_ml: float | None = Field(
        default=None,
        gt=0,
        description="volume in ml, converted to mass by the density of the channel's liquid",
    )

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.amount_g is None) == (self.amount_ml is None):
            raise ValueError("give exactly one of amount_g and amount_ml")
        return self


class PourBody(Body):
    """A pour: doses in order. `glass_holds_ml` guards against overfilling."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "doses": [{"channel": 1, "amount_g": 120}, {"channel": 4, "amount_ml": 20}],
                    "glass_holds_ml": 300,
                },
                {"doses": [{"channel": 2, "amount_ml": 30}, {"channel": 5, "amount_g": 90}]},
            ]
        }
    )

    doses: list[DoseBody] = Field(min_length=1, max_length=32)
    glass_holds_ml: float | None = Field(default=None, gt=0, description="what the glass holds, in ml")
    onto_contents: bool | None = Field(
        default=None, description="pour on top of what was poured last and is still on the platform"
    )


class PourSelection(PeriodFilter):
    """Which pours."""

    state: Literal["open", "complete", "stopped", "aborted", "interrupted"] | None = None
    channel: int | None = Field(default=None, ge=1, description="with a dose from this channel")
    recipe: str | None = Field(default=None, max_length=MAX_SLUG, description="id of the recipe")
    guest: str | None = Field(
        default=None, max_length=80, description="whose glass of a round: label or seat"
    )
    alarm: bool | None = Field(default=None, description="whether it raised an alarm")
    out_of_tolerance: bool | None = Field(
        default=None, description="whether a dose ended under or over its tolerance"
    )

    def query(self) -> PourQuery:
        """As a query of the store."""
        asked = self.model_dump(exclude={"day", "since", "until", "recipe"})
        period = self.period()
        return PourQuery(since=period.since, until=period.until, recipe_id=self.recipe, **asked)


class PourFilter(PourSelection):
    """Filters for the list of pours, newest first."""

    limit: int = Field(default=50, ge=1, le=MAX_PAGE)
    before: str | None = Field(default=None, description="cursor of a next link")
    after: str | None = Field(default=None, description="cursor of a prev link")

    @model_validator(mode="after")
    def _one_cursor(self) -> Self:
        if self.before is not None and self.after is not None:
            raise ValueError("give before or after, not both; follow the Link header as it is")
        return self
