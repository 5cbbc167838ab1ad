"""Rounds: progress and records."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.exchange.round_planning import GuestForecast
from tarewell.machine.round_record import GlassRecord, RoundRecord
from tarewell.menu.allergens import Allergen
from tarewell.quantities.strength import DrinkStrength
from tarewell.rounds.events import Ending
from tarewell.rounds.feasible import Feasibility
from tarewell.rounds.progress import GlassProgress, RoundProgress
from tarewell.rounds.states import TABLE, procedural

from . import View
from .drinks import PlannedDoseView, PlannedHandView
from .drinks import step_view as _step


class HeldView(View):
    """The contents of a glass: mass, volume at 20 °C without ice, strength, sugar."""

    mass_g: float
    volume_ml: float
    strength_percent_vol: float
    ethanol_g: float
    standard_drinks: float
    sugar_g: float

    @classmethod
    def of(cls, strength: DrinkStrength, standard_drink_g: float) -> Self:
        """From the drink's strength."""
        return cls(
            mass_g=round(strength.mass_g, 2),
            volume_ml=round(strength.volume_ml, 1),
            strength_percent_vol=round(strength.percent_vol, 2),
            ethanol_g=round(strength.ethanol_g, 2),
            standard_drinks=round(strength.standard_drinks(standard_drink_g), 2),
            sugar_g=round(strength.sugar_g, 1),
        )


class RoundGlassView(View):
    """A glass as planned and, as far as it got, as delivered by the scale; confirmed steps by hand count as
    in the recipe. `steps` are in the order in which the drink is made, doses as they are poured."""

    glass: int = Field(description="from 1")
    recipe_id: str
    name: str
    glass_id: str | None
    guest: str | None
    order: str | None = Field(description="link to the order that it is for")
    order_number: int | None
    price: float | None = Field(description="of the recipe at that time; null: not set")
    state: str = Field(
        description="waiting, under_way, complete, skipped, stopped, interrupted, or not_poured once the "
        "round is over"
    )
    attempts: int
    pours: list[str] = Field(description="links to the pours of the last attempt")
    steps: list[PlannedDoseView | PlannedHandView]
    planned: HeldView
    delivered: HeldView | None
    found_later_g: float | None = Field(
        description="what was found for certain to have come from its pours besides, in g; it counts "
        "towards the guest's limit"
    )
    strength_known: bool = Field(description="false: an undescribed part counts as having none")
    sugar_known: bool
    allergens: list[Allergen]
    allergens_unknown: list[str]

    @classmethod
    def of(
        cls,
        record: GlassRecord,
        progress: GlassProgress | None,
        over: bool,
        standard_drink_g: float,
        accuracy_class: float,
    ) -> Self:
        """From its record and, while the round is under way, its progress."""
        drink, state = record.plan.drink, _state_of(record, over)
        attempts, pour_ids = len(record.attempts), record.attempts[-1].pour_ids if record.attempts else ()
        delivered = record.attempts[-1].delivered if record.attempts else None
        found = record.attempts[-1].found_later if record.attempts else None
        if progress is not None:
            state, attempts, pour_ids = progress.state, progress.attempts, progress.pour_ids
            delivered = None if progress.outcome is None else progress.outcome.delivered
        return cls(
            glass=record.index + 1,
            recipe_id=drink.recipe_id,
            name=drink.name,
            glass_id=drink.glass_id,
            guest=record.plan.guest,
            order=None if record.plan.order is None else f"/v1/orders/{record.plan.order.id}",
            order_number=None if record.plan.order is None else record.plan.order.number,
            price=drink.price,
            state=state,
            attempts=attempts,
            pours=[f"/v1/pours/{pour_id}" for pour_id in pour_ids],
            steps=[_step(step, accuracy_class) for step in drink.steps_as_made],
            planned=HeldView.of(drink.strength, standard_drink_g),
            delivered=None if delivered is None else HeldView.of(delivered, standard_drink_g),
            found_later_g=None if found is None else round(found.mass_g, 2),
            strength_known=drink.strength_known,
            sugar_known=drink.sugar_known,
            allergens=sorted(drink.allergens),
            allergens_unknown=list(drink.allergens_unknown),
        )


def _state_of(record: GlassRecord, over: bool) -> str:
    if record.attempts and record.attempts[-1].ending is not Ending.SPOILT:
        return record.attempts[-1].ending.value
    return "not_poured" if over else "waiting"


class RoundProgressView(View):
    """A round under way. `step` is the step within `state`; `glass` is the current one, from 1."""

    state: str = Field(description="procedural state of ISA-88")
    step: str
    glass: int
    leg: int = Field(description="pour or step by hand within the glass, from 1")
    attempt: int
    prompt: str = Field(description="what to do next, for people")
    detail: str = Field(description="what is wrong, for people; empty: nothing")
    pour: str | None = Field(description="link to the pour under way")
    hand: PlannedHandView | None = Field(description="the step to do by hand, then confirm")
    leg_elapsed_s: float = Field(
        description="since the pour or the step by hand began; 0 while there is neither"
    )
    remaining_s: float | None = Field(description="null: the flow of a channel was never seen")
    ends_at: datetime | None = Field(description="forecast, if nothing goes wrong")

    @classmethod
    def of(cls, progress: RoundProgress) -> Self:
        """From the round's progress."""
        left_s = progress.remaining_s
        ends_at = None if left_s is None else datetime.now(UTC) + timedelta(seconds=left_s)
        return cls(
            state=procedural(progress.state),
            step=progress.state,
            glass=progress.glass + 1,
            leg=progress.leg + 1,
            attempt=progress.attempt + 1,
            prompt=progress.prompt,
            detail=progress.detail,
            pour=None if progress.pour_id is None else f"/v1/pours/{progress.pour_id}",
            hand=None if progress.hand is None else PlannedHandView.of(progress.hand),
            leg_elapsed_s=round(progress.leg_elapsed_s, 1),
            remaining_s=None if left_s is None else round(left_s, 1),
            ends_at=ends_at,
        )


_EXAMPLE: dict[str, JsonValue] = {
    "id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
    "state": "complete",
    "machine_id": "interval-bar",
    "created_at": "2031-03-14T19:42:10.120000Z",
    "ended_at": "2031-03-14T19:42:58.480000Z",
    "origin": "api",
    "program_version": "0.1.0",
    "auto_start": True,
    "glasses": [
        {
            "glass": 1,
            "recipe_id": "green-room-cooler",
            "name": "Green Room Cooler",
            "glass_id": "foyer-tumbler",
            "guest": None,
            "order": None,
            "order_number": None,
            "price": 2.5,
            "state": "complete",
            "attempts": 1,
            "pours": ["/v1/pours/01959c44-80f1-7000-8b1c-6f0e2f9f4a20"],
            "steps": [
                {
                    "kind": "dose",
                    "channel": 1,
                    "liquid_id": "house-water",
                    "target_g": 173.6,
                    "tolerance_g": 3.91,
                    "volume_ml": 173.9,
                    "volume_uncertainty_ml": 0.1,
                    "time_s": 24.3,
                }
            ],
            "planned": {
                "mass_g": 173.6,
                "volume_ml": 173.9,
                "strength_percent_vol": 0.0,
                "ethanol_g": 0.0,
                "standard_drinks": 0.0,
                "sugar_g": 0.0,
            },
            "delivered": {
                "mass_g": 173.9,
                "volume_ml": 174.2,
                "strength_percent_vol": 0.0,
                "ethanol_g": 0.0,
                "standard_drinks": 0.0,
                "sugar_g": 0.0,
            },
            "found_later_g": None,
            "strength_known": True,
            "sugar_known": True,
            "allergens": [],
            "allergens_unknown": [],
        }
    ],
    "progress": None,
    "links": {"self": "/v1/rounds/01959c44-7f7a-7000-8a52-0d7c4a1e93b1"},
}


class RoundView(View):
    """A round: intent, progress while it is under way, outcome of each glass."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    state: str = Field(
        description="procedural state while it is under way, then complete, stopped, aborted or interrupted"
    )
    machine_id: str
    created_at: datetime
    ended_at: datetime | None
    origin: str
    program_version: str
    auto_start: bool
    glasses: list[RoundGlassView]
    progress: RoundProgressView | None
    links: dict[str, str]

    @classmethod
    def of(
        cls,
        record: RoundRecord,
        progress: RoundProgress | None,
        standard_drink_g: float,
        accuracy_class: float,
    ) -> Self:
        """From its record and, while it is under way, its progress."""
        over = record.outcome_state is not None
        live = None if over else progress
        return cls(
            id=record.id,
            state=_round_state(record, live),
            machine_id=record.machine_id,
            created_at=record.created_at,
            ended_at=record.ended_at,
            origin=record.origin,
            program_version=record.program_version,
            auto_start=record.auto_start,
            glasses=[
                RoundGlassView.of(
                    glass,
                    None if live is None else live.glasses[glass.index],
                    over,
                    standard_drink_g,
                    accuracy_class,
                )
                for glass in record.glasses
            ],
            progress=None if live is None else RoundProgressView.of(live),
            links={"self": f"/v1/rounds/{record.id}"},
        )


def _round_state(record: RoundRecord, progress: RoundProgress | None) -> str:
    """The state; a round that has ended counts as running until its outcome is on the disk."""
    if progress is None:
        return record.state
    return "running" if progress.state in TABLE.terminal else procedural(progress.state)


class ShortView(View):
    """A glass that cannot be poured now, and why."""

    glass: int = Field(description="from 1, each glass counted")
    name: str
    reasons: list[str]


class GuestForecastView(View):
    """Standard drinks of a guest within the window of the setting: poured before, and with the round."""

    guest: str
    before: float
    after: float
    limit: float | None = Field(description="the host's; null: none is set")
    held: bool = Field(description="whether a glass would wait for a release")

    @classmethod
    def of(cls, forecast: GuestForecast) -> Self:
        """From the planner's forecast."""
        return cls(
            guest=forecast.guest,
            before=round(forecast.before, 2),
            after=round(forecast.after, 2),
            limit=forecast.limit,
            held=forecast.held,
        )


class CheckView(View):
    """Which glasses of a round can be poured now, in order."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "asked": 12,
                    "possible": 11,
                    "detail": "11 of 12 glasses can be poured; glass 12, Green Room Cooler: channel 4 has "
                    "30 g of Prompter's Cordial left and the drink takes 52 g; replace the bottle, or weigh "
                    "it if there is more in it",
                    "time_s": 431.0,
                    "price": 27.5,
                    "currency": "EUR",
                    "short": [
                        {
                            "glass": 12,
                            "name": "Green Room Cooler",
                            "reasons": ["channel 4 has 30 g of Prompter's Cordial left and ..."],
                        }
                    ],
                    "guests": [
                        {"guest": "seat 14", "before": 1.0, "after": 2.0, "limit": 2.0, "held": False}
                    ],
                }
            ]
        }
    )

    asked: int
    possible: int
    detail: str
    time_s: float | None = Field(description="forecast for what is possible; null: a flow was never seen")
    price: float | None = Field(description="of what is possible; null: a price is not set")
    currency: str | None = Field(description="ISO 4217; null: not said")
    short: list[ShortView]
    guests: list[GuestForecastView] = Field(description="each guest of what is possible")

    @classmethod
    def of(cls, found: Feasibility, guests: Sequence[GuestForecast], currency: str | None) -> Self:
        """From the planner's answer."""
        return cls(
            asked=len(found.glasses) + len(found.short),
            possible=len(found.glasses),
            detail=found.summary,
            time_s=None if found.time_s is None else round(found.time_s, 1),
            price=None if found.price is None else round(found.price, 2),
            currency=currency,
            short=[
                ShortView(glass=item.index + 1, name=item.drink.name, reasons=list(item.reasons))
                for item in found.short
            ],
            guests=[GuestForecastView.of(guest) for guest in guests],
        )
