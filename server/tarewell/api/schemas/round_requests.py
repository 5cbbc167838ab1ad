"""What is asked of rounds."""

from hashlib import sha256
from typing import Annotated, Self

from pydantic import ConfigDict, Field, StringConstraints, model_validator

from tarewell.rounds.feasible import Wanted
from tarewell.rounds.plan import MAX_GLASSES
from tarewell.setup_file.forms import GUEST

from . import Body, Slug

MAX_GUEST = 60

Guest = Annotated[
    str,
    StringConstraints(min_length=1, max_length=MAX_GUEST, pattern=GUEST, strip_whitespace=True),
    Field(description="a label without a slash, preferably a seat or a number, not a name"),
]


class WantedBody(Body):
    """One or more glasses of a recipe; by default with the recipe's own glass and volume."""

    recipe_id: Slug
    count: int = Field(default=1, ge=1, le=MAX_GLASSES)
    glass_id: Slug | None = None
    volume_ml: float | None = Field(default=None, gt=0, le=10000, description="without ice")
    guest: Guest | None = None
    max_ethanol_g: float | None = Field(
        default=None, ge=0, description="the drink is made smaller until it holds no more ethanol"
    )
    instead: dict[Slug, Slug] = Field(
        default_factory=dict, description="liquids of the recipe and their substitutes"
    )


class GlassesBody(Body):
    """Glasses in order, then orders in order, by their numbers in the open service."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"glasses": [{"recipe_id": "green-room-cooler", "count": 12}]}]}
    )

    glasses: list[WantedBody] = Field(default_factory=list, max_length=MAX_GLASSES)
    orders: list[Annotated[int, Field(ge=1)]] = Field(
        default_factory=list, max_length=MAX_GLASSES, description="numbers of orders that wait"
    )

    @model_validator(mode="after")
    def _not_too_many(self) -> Self:
        count = sum(entry.count for entry in self.glasses) + len(self.orders)
        if not count:
            raise ValueError("a round needs a glass; give glasses, or the numbers of orders")
        if len(set(self.orders)) < len(self.orders):
            raise ValueError("an order is given twice; leave one out")
        if count > MAX_GLASSES:
            raise ValueError(f"a round has {MAX_GLASSES} glasses at most, got {count}; split it in two")
        return self

    def wanted(self) -> list[tuple[int, Wanted]]:
        """Each glass, with the index of its entry."""
        return [
            (
                number,
                Wanted(
                    entry.recipe_id,
                    entry.glass_id,
                    entry.volume_ml,
                    entry.guest,
                    entry.max_ethanol_g,
                    dict(entry.instead),
                ),
            )
            for number, entry in enumerate(self.glasses)
            for _ in range(entry.count)
        ]

    def pointer_to(self, index: int) -> str:
        """The entry of the glass of this index."""
        entries = [f"/glasses/{number}" for number, _ in self.wanted()]
        return [*entries, *(f"/orders/{number}" for number in range(len(self.orders)))][index]


class RoundBody(GlassesBody):
    """A round. With `auto_start` a pour begins when the right glass is on the platform."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"glasses": [{"recipe_id": "green-room-cooler", "count": 2}], "auto_start": True},
                {
                    "glasses": [
                        {"recipe_id": "second-bell", "guest": "seat 14"},
                        {"recipe_id": "green-room-cooler", "guest": "seat 15", "volume_ml": 180},
                    ]
                },
                {"orders": [44, 45, 47]},
            ]
        }
    )

    auto_start: bool = False
    allow_short: bool = Field(default=False, description="leave out glasses that cannot be poured now")

    @property
    def fingerprint(self) -> str:
        """Equal for equal requests. One without orders has that of versions that knew of none."""
        without = set() if self.orders else {"orders"}
        return sha256(self.model_dump_json(exclude=without).encode()).hexdigest()
