"""A time to look at: a day, or from one moment to another."""

from datetime import date
from typing import Self

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, model_validator

from tarewell.records.local_days import MAX_DAY, MIN_DAY, bounds_of
from tarewell.records.statistics import Period


class PeriodFilter(BaseModel):
    """A day in the time zone of the machine, or a time between two moments."""

    model_config = ConfigDict(extra="forbid")

    day: date | None = Field(
        default=None,
        ge=MIN_DAY,
        le=MAX_DAY,
        description="YYYY-MM-DD, from midnight to midnight in the machine's time zone",
    )
    since: AwareDatetime | None = Field(default=None, description="begun at or after, RFC 3339 with zone")
    until: AwareDatetime | None = Field(default=None, description="begun before, RFC 3339 with zone")

    @model_validator(mode="after")
    def _day_or_moments(self) -> Self:
        if self.day is not None and (self.since is not None or self.until is not None):
            raise ValueError("give a day, or since and until, not both")
        return self

    def period(self) -> Period:
        """The period."""
        return Period(self.since, self.until) if self.day is None else Period(*bounds_of(self.day))
