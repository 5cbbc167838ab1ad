"""The plan of an evening: expectations, drinks, shopping and waiting times."""

from dataclasses import asdict
from typing import Annotated, Any, Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.menu.evening import TIMES, Evening
from tarewell.menu.evening_liquids import PlannedLiquid
from tarewell.menu.evening_plan import CARE, EveningPlan, Pace, PlannedRecipe
from tarewell.menu.evening_queue import Waiting
from tarewell.menu.evening_shopping import BottleSize
from tarewell.printing.evening_page import verdict

from . import Body, Name, Slug, View
from .drinks import BlockerView

_SPRING_PLAY: dict[str, JsonValue] = {
    "title": "Spring play, Saturday",
    "guests": 80,
    "hours": 0.5,
    "drinks_per_guest_h": 1.2,
    "mix": {"green-room-cooler": 3, "matinee-fizz": 2, "second-bell": 3, "long-overture": 2},
    "peak_share": 0.7,
    "peak_minutes": 8,
    "bottle_sizes": {"footlight-spirit": [{"ml": 700, "price": 14.5}, {"ml": 1000, "price": 19.9}]},
    "times": {"glass_change_s": 6},
}


class SizeBody(Body):
    """A bottle as it is sold; without a price the liquid's `cost_per_l` counts."""

    ml: int
    price: float | None = None


class EveningBody(Body):
    """The expectations for an evening."""

    model_config = ConfigDict(json_schema_extra={"examples": [_SPRING_PLAY]})

    title: Name = "Evening"
    guests: int
    hours: float = Field(description="how long the bar is open, all intervals together")
    drinks_per_guest_h: float = Field(description="what one guest drinks in an hour of that")
    mix: Annotated[
        dict[Slug, float], Field(max_length=200, description="a share for each recipe, on any scale")
    ]
    intervals: int = Field(default=1, description="number of parts of equal length")
    peak_share: float = Field(default=0.0, description="share of the orders that come in the peak, 0 to 1")
    peak_minutes: float = Field(default=0.0, description="how long the peak at the start of each interval is")
    reserve: float = Field(default=0.1, description="share that is bought beyond the need")
    bottle_sizes: dict[Slug, list[SizeBody]] = Field(
        default_factory=dict,
        max_length=200,
        description="sizes that are sold; by default those of the liquid's own bottles",
    )
    times: dict[str, float] = Field(
        default_factory=dict,
        max_length=200,
        description="times at the bar, in s, and the flow of a channel that never poured; missing values are "
        f"guesses: {', '.join(f'{name} {value:g}' for name, value in TIMES.items())}",
        json_schema_extra={"propertyNames": {"enum": list(TIMES)}},
    )
    seed: int = Field(default=1, ge=0, lt=2**63, description="the same number gives the same queue")

    def evening(self) -> Evening:
        """The evening; `faults_of_evening` checks it."""
        return Evening(
            guests=self.guests,
            hours=self.hours,
            drinks_per_guest_h=self.drinks_per_guest_h,
            mix=dict(self.mix),
            intervals=self.intervals,
            peak_share=self.peak_share,
            peak_minutes=self.peak_minutes,
            reserve=self.reserve,
            bottle_sizes={
                liquid_id: tuple(BottleSize(size.ml, size.price) for size in sizes)
                for liquid_id, sizes in self.bottle_sizes.items()
            },
            times=dict(self.times),
        )


class EveningDrinkView(View):
    """A recipe of the mix; `service_s` is one drink's time at the bar, glass change and steps by hand
    included."""

    recipe_id: str
    name: str
    drinks: int
    alcohol_free: bool = Field(description="no ethanol at all, by the data entered")
    volume_ml: float
    strength_percent_vol: float
    strength_known: bool
    standard_drinks: float
    service_s: float
    flow_guessed: bool
    cost: float | None = Field(description="of all of them")
    blockers: list[BlockerView] = Field(description="blockers, apart from missing bottles")

    @classmethod
    def of(cls, recipe: PlannedRecipe, standard_drink_g: float) -> Self:
        """From the planner's recipe."""
        drink = recipe.drink
        return cls(
            recipe_id=drink.recipe_id,
            name=drink.name,
            drinks=recipe.count,
            alcohol_free=recipe.alcohol_free,
            volume_ml=round(drink.volume_ml, 1),
            strength_percent_vol=round(drink.strength.percent_vol, 2),
            strength_known=drink.strength_known,
            standard_drinks=round(drink.strength.standard_drinks(standard_drink_g), 2),
            service_s=round(recipe.service_s, 1),
            flow_guessed=recipe.flow_guessed,
            cost=_money(None if drink.cost is None else recipe.count * drink.cost),
            blockers=[BlockerView.of(blocker) for blocker in recipe.blockers],
        )


class BoughtView(View):
    """A number of bottles of one size."""

    ml: int
    count: int


class EveningLiquidView(View):
    """The evening's need of a liquid. `liquid_id` null: an undescribed top-up. `bottles` is empty where
    nothing is missing, or no size is known."""

    liquid_id: str | None
    name: str
    by_machine: bool
    used_g: float
    used_ml: float
    need_ml: float = Field(description="with the reserve")
    stock_ml: float
    buy_ml: float
    bottles: list[BoughtView]
    cost: float | None

    @classmethod
    def of(cls, liquid: PlannedLiquid) -> Self:
        """From the planner's liquid."""
        return cls(
            liquid_id=liquid.liquid_id,
            name=liquid.name,
            by_machine=liquid.by_machine,
            used_g=round(liquid.used_g, 1),
            used_ml=round(liquid.used_ml, 1),
            need_ml=round(liquid.need_ml, 1),
            stock_ml=round(liquid.stock_ml, 1),
            buy_ml=round(liquid.buy_ml, 1),
            bottles=[BoughtView(ml=item.size.ml, count=item.count) for item in liquid.bottles],
            cost=_money(liquid.cost),
        )


class WaitingView(View):
    """Time from joining the queue until the drink is begun."""

    mean_s: float
    median_s: float
    p95_s: float

    @classmethod
    def of(cls, waiting: Waiting) -> Self:
        """From the planner's figures."""
        return cls(**{name: round(value, 1) for name, value in asdict(waiting).items()})


class MomentView(View):
    """People at the bar, waiting or being served: median and 95th percentile."""

    at_s: float
    median: int
    p95: int


class EveningView(View):
    """The plan of an evening. Costs are in your own currency, null where one is not known."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "title": "Spring play, Saturday",
                    "drinks": 48,
                    "drinks_alcohol_free": 24,
                    "pace": "behind_at_the_peak",
                    "verdict": "The machine falls behind at the peak and catches up again: 105 drinks an "
                    "hour can be made, 96 are asked for, but most of them at once. Pour some before the "
                    "doors open, or let guests order ahead.",
                    "drinks_per_h": 105.0,
                    "load": 0.914,
                    "busiest_load": 2.4,
                    "work_s": 1645.7,
                    "waiting": {"mean_s": 310.0, "median_s": 330.1, "p95_s": 640.2},
                    "peak_waiting": {"mean_s": 560.1, "median_s": 562.3, "p95_s": 702.8},
                    "peak_from_s": 420.0,
                    "peak_to_s": 480.0,
                    "overtime_s": 95.4,
                    "evenings": 500,
                    "queue": [{"at_s": 0.0, "median": 0, "p95": 0}, {"at_s": 480.0, "median": 17, "p95": 22}],
                    "recipes": [
                        {
                            "recipe_id": "green-room-cooler",
                            "name": "Green Room Cooler",
                            "drinks": 14,
                            "alcohol_free": True,
                            "volume_ml": 222.4,
                            "strength_percent_vol": 0.0,
                            "strength_known": True,
                            "standard_drinks": 0.0,
                            "service_s": 52.1,
                            "flow_guessed": False,
                            "cost": 2.86,
                            "blockers": [],
                        }
                    ],
                    "liquids": [
                        {
                            "liquid_id": "footlight-spirit",
                            "name": "Footlight Spirit",
                            "by_machine": True,
                            "used_g": 355.5,
                            "used_ml": 375.0,
                            "need_ml": 412.5,
                            "stock_ml": 0.0,
                            "buy_ml": 412.5,
                            "bottles": [{"ml": 700, "count": 1}],
                            "cost": 14.5,
                        }
                    ],
                    "ice_g": 2310.0,
                    "ethanol_g": 224.6,
                    "standard_drink_g": 7.89,
                    "standard_drinks_per_guest": 0.36,
                    "strength_known": True,
                    "cost_of_drinks": 24.2,
                    "cost_of_shopping": 33.6,
                    "care": list(CARE),
                }
            ]
        }
    )

    title: str
    drinks: int
    drinks_alcohol_free: int
    pace: Pace
    verdict: str = Field(description="whether the machine keeps up, for people")
    drinks_per_h: float = Field(description="drinks of this mix that can be made in an hour")
    load: float = Field(description="work over opening time")
    busiest_load: float = Field(description="the same in the busiest part; above 1 the queue grows")
    work_s: float
    waiting: WaitingView
    peak_waiting: WaitingView = Field(description="of those who arrive from peak_from_s to peak_to_s")
    peak_from_s: float
    peak_to_s: float
    overtime_s: float = Field(description="last drink after closing, at most in 95 % of the cases")
    evenings: int = Field(description="how often the interval was simulated")
    queue: list[MomentView]
    recipes: list[EveningDrinkView]
    liquids: list[EveningLiquidView]
    ice_g: float = Field(description="with the reserve, without what melts meanwhile")
    ethanol_g: float
    standard_drink_g: float
    standard_drinks_per_guest: float = Field(description="an average over all guests")
    strength_known: bool
    cost_of_drinks: float | None
    cost_of_shopping: float | None
    care: list[str]

    @classmethod
    def of(cls, plan: EveningPlan, title: str, standard_drink_g: float) -> Self:
        """From the plan; `standard_drink_g` is grams of ethanol."""
        return cls(
            title=title,
            drinks=plan.drinks,
            drinks_alcohol_free=sum(recipe.count for recipe in plan.recipes if recipe.alcohol_free),
            **_pace(plan),
            recipes=[EveningDrinkView.of(recipe, standard_drink_g) for recipe in plan.recipes],
            liquids=[EveningLiquidView.of(liquid) for liquid in plan.liquids],
            ice_g=round(plan.ice_g, 1),
            ethanol_g=round(plan.ethanol_g, 1),
            standard_drink_g=round(standard_drink_g, 2),
            standard_drinks_per_guest=round(plan.ethanol_g / standard_drink_g / plan.evening.guests, 2),
            strength_known=plan.strength_known,
            cost_of_drinks=_money(plan.cost_of_drinks),
            cost_of_shopping=_money(plan.cost_of_shopping),
            care=list(CARE),
        )


def _pace(plan: EveningPlan) -> dict[str, Any]:
    queue = plan.queue
    return {
        "pace": plan.pace,
        "verdict": verdict(plan).replace("\N{NO-BREAK SPACE}", " "),
        "drinks_per_h": round(plan.drinks_per_h, 1),
        "load": round(plan.traffic.load, 3),
        "busiest_load": round(plan.traffic.busiest_load, 3),
        "work_s": round(plan.work_s, 1),
        "waiting": WaitingView.of(queue.waiting),
        "peak_waiting": WaitingView.of(queue.peak),
        "peak_from_s": round(queue.peak_from_s, 1),
        "peak_to_s": round(queue.peak_to_s, 1),
        "overtime_s": round(queue.overtime_s, 1),
        "evenings": queue.evenings,
        "queue": [
            MomentView(at_s=round(moment.at_s, 1), median=moment.median, p95=moment.p95)
            for moment in queue.moments
        ],
    }


def _money(amount: float | None) -> float | None:
    return None if amount is None else round(amount, 2)
