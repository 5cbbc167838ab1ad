"""Services of the bar, orders, and what guests see of both."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Annotated, Any, Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.menu.allergens import Allergen
from tarewell.menu.drink import Drink
from tarewell.menu.values import Glass
from tarewell.orders.line import InLine
from tarewell.orders.states import OrderState
from tarewell.quantities.strength import DrinkStrength
from tarewell.records.order_values import OrderRecord, Service
from tarewell.rounds.feasible import Wanted

from . import Body, Name, Slug, View
from .round_requests import Guest
from .rounds import HeldView

ID = "01959c44-7f7a-7000-8a52-0d7c4a1e93b1"


class OpenBody(Body):
    """A service to open."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"title": "The Paper Lantern, second night", "guests_may_order": True}]
        }
    )

    title: Name
    guests_may_order: bool = False


class GuestsBody(Body):
    """Whether guests may order by the link."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"may_order": False}]})

    may_order: bool


class ServiceView(View):
    """A service of the bar: the one that is open, else the last one."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "title": "The Paper Lantern, second night",
                    "open": True,
                    "opened_at": "2031-03-14T18:30:00Z",
                    "closed_at": None,
                    "guests_may_order": True,
                    "has_link": True,
                }
            ]
        }
    )

    title: str
    open: bool
    opened_at: datetime
    closed_at: datetime | None
    guests_may_order: bool
    has_link: bool = Field(description="whether there is a link for guests")

    @classmethod
    def of(cls, service: Service) -> Self:
        """From its record."""
        return cls(
            title=service.title,
            open=service.is_open,
            opened_at=service.opened_at,
            closed_at=service.closed_at,
            guests_may_order=service.guests_may_order,
            has_link=service.link_key is not None,
        )


class GuestLinkView(View):
    """The link for guests."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"path": "/e/3mVq7Zt0cN5yB1xHk2Ro"}]})

    path: str = Field(description="below the daemon's own address; its last part is the key")

    @classmethod
    def of(cls, key: str) -> Self:
        """From the key, whose characters need no escape."""
        return cls(path=f"/e/{key}")


class OrderBody(Body):
    """A glass to order; by default with the recipe's own glass and volume."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"recipe_id": "green-room-cooler", "guest": "seat 14"}]}
    )

    recipe_id: Slug
    glass_id: Slug | None = None
    volume_ml: float | None = Field(default=None, gt=0, le=10000, description="without ice")
    guest: Guest | None = None
    max_ethanol_g: float | None = Field(
        default=None, ge=0, description="the drink is made smaller until it holds no more ethanol"
    )
    instead: dict[Slug, Slug] = Field(
        default_factory=dict, description="liquids of the recipe and their substitutes"
    )

    def wanted(self) -> Wanted:
        """The glass."""
        return Wanted(**dict(self))


class GuestOrderBody(Body):
    """A glass that a guest orders, as the menu has it."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"recipe_id": "green-room-cooler", "guest": "seat 14"}]}
    )

    recipe_id: Slug
    guest: Guest

    def wanted(self) -> Wanted:
        """The glass."""
        return Wanted(self.recipe_id, guest=self.guest)


class SendBackBody(Body):
    """Why the bar sends an order back; the guest sees it."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"reason": "Gallery Juice is out"}]})

    reason: Name


State = Annotated[
    str,
    Field(description="waiting, next, pouring, ready, collected, taken_back (guest) or sent_back (bar)"),
]
Before = Annotated[int | None, Field(description="how many are poured before it; null: it is not in line")]
ExpectedAt = Annotated[
    datetime | None, Field(description="forecast; null: not in line, or a flow was never seen")
]
_ORDER: dict[str, JsonValue] = {
    "id": ID,
    "number": 44,
    "state": "waiting",
    "name": "Green Room Cooler",
    "guest": "seat 14",
    "before": 3,
    "expected_at": "2031-03-14T20:06:00Z",
    "bar_looks": False,
    "reason": None,
    "price": 2.5,
    "created_at": "2031-03-14T20:01:00Z",
    "since": "2031-03-14T20:01:00Z",
}


class OrderFacts(View):
    """An order: what it is and where it stands."""

    id: str
    number: int = Field(description="for people, from 1 within the service")
    state: State
    name: str
    guest: str | None
    before: Before
    expected_at: ExpectedAt
    bar_looks: bool = Field(description="the bar looks at it first: it waits for a release")
    reason: str | None = Field(description="why the bar sent it back")
    price: float | None
    created_at: datetime
    since: datetime = Field(description="when it came into its state or place")

    @classmethod
    def _facts(cls, order: OrderRecord, place: InLine | None) -> dict[str, Any]:
        expected_s = None if place is None else place.expected_s
        return {
            "id": order.id,
            "number": order.number,
            "state": _state(order, place),
            "name": order.name,
            "guest": order.wanted.guest,
            "before": None if place is None else place.before,
            "expected_at": None if expected_s is None else datetime.now(UTC) + timedelta(seconds=expected_s),
            "bar_looks": place is not None and place.bar_looks,
            "reason": order.standing.reason,
            "price": order.price,
            "created_at": order.created_at,
            "since": order.since,
        }


class OrderView(OrderFacts):
    """An order as the bar sees it. `round` and `glass` (from 1) are those that took it last."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    **_ORDER,
                    "recipe_id": "green-room-cooler",
                    "origin": "guest",
                    "round": None,
                    "glass": None,
                    "links": {"self": f"/v1/orders/{ID}"},
                }
            ]
        }
    )

    recipe_id: str
    origin: str = Field(description="guest: by the link")
    round: str | None
    glass: int | None
    links: dict[str, str]

    @classmethod
    def of(cls, order: OrderRecord, place: InLine | None) -> Self:
        """From its record and its place in line, if any."""
        standing = order.standing
        return cls(
            **cls._facts(order, place),
            recipe_id=order.wanted.recipe_id,
            origin=order.origin,
            round=None if standing.round_id is None else f"/v1/rounds/{standing.round_id}",
            glass=None if standing.glass is None else standing.glass + 1,
            links={"self": f"/v1/orders/{order.id}"},
        )


class GuestOrderView(OrderFacts):
    """A guest's own order; `poured` once it is ready."""

    model_config = ConfigDict(json_schema_extra={"examples": [{**_ORDER, "poured": None}]})

    poured: HeldView | None

    @classmethod
    def of(
        cls, order: OrderRecord, place: InLine | None, poured: DrinkStrength | None, standard_drink_g: float
    ) -> Self:
        """From its record, its place in line, and what was poured for it."""
        held = None if poured is None else HeldView.of(poured, standard_drink_g)
        return cls(**cls._facts(order, place), poured=held)


def _state(order: OrderRecord, place: InLine | None) -> str:
    state = order.standing.state
    if place is not None and place.is_next:
        return "next"
    return OrderState.WAITING if state is OrderState.IN_ROUND else state


class GuestGlassView(View):
    """The inside of a glass: to the brim in ml, and as a truncated cone in mm (null: not measured)."""

    brim_ml: float
    rim_mm: float | None
    base_mm: float | None
    height_mm: float | None

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """From the store's glass."""
        return cls(
            brim_ml=glass.brim_ml, rim_mm=glass.rim_mm, base_mm=glass.base_mm, height_mm=glass.height_mm
        )


class LayerView(View):
    """A layer of a drink as it is drawn, without the name of its liquid."""

    share: float = Field(description="of the drink's volume")
    colour: str | None = Field(description="#rrggbb; null: nobody has described the liquid")


class GuestDrinkView(View):
    """A drink that can be poured now, by the data entered for its liquids: no more is known."""

    recipe_id: str
    name: str
    volume_ml: float = Field(description="of the mixed drink at 20 °C without ice")
    strength_percent_vol: float
    standard_drinks: float
    strength_known: bool = Field(description="false: an undescribed part counts as having none")
    without_alcohol: bool = Field(description="true only where every liquid in it is stated to have none")
    sugar_g: float
    sugar_known: bool
    allergens: list[Allergen]
    allergens_known: bool = Field(description="false: a part was not checked; ask at the bar")
    price: float | None
    glass: GuestGlassView | None = Field(description="null: the recipe names none")
    layers: list[LayerView] = Field(description="bottom up, in the order of pouring")
    ice_g: float

    @classmethod
    def of(
        cls, drink: Drink, glass: Glass | None, colours: Mapping[str, str], standard_drink_g: float
    ) -> Self:
        """From the planned drink, its glass, and the colours of liquids by id."""
        strength = drink.strength
        all_ml = sum(volume_ml for _, volume_ml in drink.layers)
        return cls(
            recipe_id=drink.recipe_id,
            name=drink.name,
            volume_ml=round(drink.volume_ml),
            strength_percent_vol=round(strength.percent_vol, 1),
            standard_drinks=round(strength.standard_drinks(standard_drink_g), 1),
            strength_known=drink.strength_known,
            without_alcohol=drink.without_alcohol,
            sugar_g=round(strength.sugar_g),
            sugar_known=drink.sugar_known,
            allergens=sorted(drink.allergens),
            allergens_known=not drink.allergens_unknown,
            price=drink.price,
            glass=None if glass is None else GuestGlassView.of(glass),
            layers=[
                LayerView(
                    share=round(volume_ml / all_ml, 2),
                    colour=None if liquid_id is None else colours.get(liquid_id),
                )
                for liquid_id, volume_ml in drink.layers
                if volume_ml > 0
            ],
            ice_g=drink.ice_g,
        )


class GuestMenuView(View):
    """The menu for guests: drinks that can be poured now, those without alcohol first."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "title": "The Paper Lantern, second night",
                    "open": True,
                    "may_order": True,
                    "currency": "EUR",
                    "standard_drink_g": 7.89,
                    "drinks": [
                        {
                            "recipe_id": "green-room-cooler",
                            "name": "Green Room Cooler",
                            "volume_ml": 217.0,
                            "strength_percent_vol": 0.0,
                            "standard_drinks": 0.0,
                            "strength_known": True,
                            "without_alcohol": True,
                            "sugar_g": 24.0,
                            "sugar_known": True,
                            "allergens": [],
                            "allergens_known": True,
                            "price": 2.5,
                            "glass": {"brim_ml": 320.0, "rim_mm": 76.0, "base_mm": 66.0, "height_mm": 80.0},
                            "layers": [
                                {"share": 0.14, "colour": "#6f9e3f"},
                                {"share": 0.86, "colour": "#bcd6de"},
                            ],
                            "ice_g": 60.0,
                        }
                    ],
                }
            ]
        }
    )

    title: str | None = Field(description="of the service; null: there was none yet")
    open: bool
    may_order: bool
    currency: str | None
    standard_drink_g: float
    drinks: list[GuestDrinkView]
