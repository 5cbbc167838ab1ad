"""The form of a liquid: its density in one of several ways."""

from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, Any, Self

from pydantic import ConfigDict, Discriminator, Field, JsonValue, Tag

from tarewell.menu.allergens import Allergen
from tarewell.menu.checks import Fault, faults_of_liquid
from tarewell.menu.values import Liquid
from tarewell.quantities import density
from tarewell.quantities.composition import of_brix
from tarewell.quantities.density import Density, Origin, Volume
from tarewell.quantities.errors import QuantityError

from .example import example
from .forms import Colour, Form, FormError, Name, Note, require_none

_CYLINDER_SHARE = 0.01
_LABEL_SHARE = 0.02
_BY_HAND = (Origin.ENTERED, Origin.WEIGHED)
_EXAMPLES: list[JsonValue] = [
    example("liquids", name)
    for name in ("prompters-cordial", "footlight-spirit", "gallery-juice", "limelight")
]


class WeighedVolume(Form):
    """A known volume, weighed with the vessel tared."""

    net_g: float = Field(gt=0)
    volume_ml: float = Field(gt=0)
    volume_uncertainty_ml: float | None = Field(
        default=None,
        ge=0,
        description="half-width; default 1 % of the volume (common practice, no source)",
    )

    def density(self, at_c: float) -> Density:
        """The density from the weighing.

        Raises:
            QuantityError: no liquid weighs that.
        """
        half_ml = self.volume_uncertainty_ml
        volume = Volume(self.volume_ml, _CYLINDER_SHARE * self.volume_ml if half_ml is None else half_ml)
        return density.weighed(self.net_g, volume, at_c)


class WeighedBottle(Form):
    """A bottle, weighed full and empty, and its content by the label."""

    full_g: float = Field(gt=0)
    empty_g: float = Field(gt=0)
    content_ml: float = Field(gt=0)
    content_uncertainty_ml: float | None = Field(
        default=None,
        ge=0,
        description="half-width; default 2 % of the content (common practice, no source)",
    )

    def density(self, at_c: float) -> Density:
        """The density from the weighings.

        Raises:
            QuantityError: no liquid weighs that.
        """
        half_ml = self.content_uncertainty_ml
        content = Volume(self.content_ml, _LABEL_SHARE * self.content_ml if half_ml is None else half_ml)
        return density.weighed_bottle(self.full_g, self.empty_g, content, at_c)


def _kind_of_weighing(written: Any) -> str:
    of_bottle = "full_g" in written if isinstance(written, dict) else isinstance(written, WeighedBottle)
    return "<bottle>" if of_bottle else "<volume>"


class LiquidFacts(Form):
    """The fields of a liquid that forms and responses share."""

    name: Name
    abv_percent: float | None = Field(
        default=None, ge=0, le=100, description="strength in % by volume at 20 °C; null: not known"
    )
    sugar_g_per_l: float | None = Field(default=None, ge=0, description="null: not known")
    allergens: list[Annotated[Allergen, Field(strict=False)]] | None = Field(
        default=None,
        description="of Annex II of Regulation (EU) No 1169/2011; null: not checked, "
        "which is not the same as []",
    )
    cost_per_l: float | None = Field(default=None, ge=0, description="for a litre, in your own currency")
    serving_c: float = Field(default=20.0, ge=0, le=40, description="temperature in the bottle, in °C")
    colour: Colour | None = None
    note: Note = ""

    @classmethod
    def of_liquid(cls, liquid: Liquid, **more: Any) -> Self:
        """The form of a liquid with its density as numbers, and the fields in `more`."""
        allergens = None if liquid.allergens is None else sorted(liquid.allergens)
        return cls.taken_from(liquid, allergens=allergens, **liquid.density_facts, **more)


class LiquidForm(LiquidFacts):
    """A liquid. Its density is stated, or weighed, or follows from `brix`, or from strength and sugar."""

    model_config = ConfigDict(json_schema_extra={"examples": _EXAMPLES})

    density_g_per_ml: float | None = Field(
        default=None,
        ge=density.LIGHTEST_G_PER_ML,
        le=density.HEAVIEST_G_PER_ML,
        description="as determined, at density_at_c",
    )
    density_uncertainty_g_per_ml: float | None = Field(
        default=None, ge=0, description="half-width of the interval; default half a per cent"
    )
    density_at_c: float = Field(default=20.0, ge=-20, le=60, description="temperature of the density, in °C")
    density_origin: Origin | None = Field(
        default=None, strict=False, description="where density_g_per_ml comes from; default `entered`"
    )
    brix: float | None = Field(default=None, ge=0, le=80, description="g of sugar in 100 g, no alcohol")
    weighed: (
        Annotated[
            Annotated[WeighedVolume, Tag("<volume>")] | Annotated[WeighedBottle, Tag("<bottle>")],
            Discriminator(_kind_of_weighing),
        ]
        | None
    ) = None

    def liquid(self, liquid_id: str) -> Liquid:
        """The liquid.

        Raises:
            FormError: the density is given in no way or in two, or fields contradict each other.
        """
        found = self._density()
        sugar_g_per_l = self.sugar_g_per_l
        if self.brix is not None:
            sugar_g_per_l = round(of_brix(self.brix).sugar_g_per_l, 2)
        facts = self.model_dump(include=set(LiquidFacts.model_fields))
        allergens = None if self.allergens is None else frozenset(self.allergens)
        liquid = Liquid(
            id=liquid_id,
            density=found,
            **facts | {"sugar_g_per_l": sugar_g_per_l, "allergens": allergens},
        )
        require_none(faults_of_liquid(liquid) or _faults_of_origin(liquid))
        return liquid

    def _density(self) -> Density:
        self._require_one_way()
        at_c = self.density_at_c
        if self.weighed is not None:
            return _rounded(self.weighed.density, at_c, "/weighed")
        if (brix := self.brix) is not None:
            return _rounded(lambda at_c: density.from_brix(brix, at_c), at_c, "/brix")
        if self.density_g_per_ml is not None:
            return self._stated(self.density_g_per_ml)
        strength, sugar = self.abv_percent or 0.0, self.sugar_g_per_l or 0.0
        if sugar:
            return _rounded(
                lambda at_c: density.from_strength_and_sugar(strength, sugar, at_c), at_c, "/sugar_g_per_l"
            )
        if strength:
            return _rounded(lambda at_c: density.from_strength(strength, at_c), at_c, "/abv_percent")
        return _rounded(density.of_water, at_c, "/density_at_c")

    def _require_one_way(self) -> None:
        ways = [name for name in ("density_g_per_ml", "brix", "weighed") if getattr(self, name) is not None]
        faults = [
            Fault(f"/{way}", f"the density already follows from {ways[0]}; leave one of the two out")
            for way in ways[1:]
        ]
        if self.brix is not None and self.abv_percent:
            faults.append(
                Fault("/brix", "degrees Brix do not hold beside alcohol; give sugar_g_per_l instead")
            )
        if self.brix is not None and self.sugar_g_per_l is not None:
            faults.append(
                Fault("/sugar_g_per_l", "degrees Brix already give the sugar; leave one of the two out")
            )
        if self.density_g_per_ml is None:
            faults += [
                Fault(f"/{name}", "it belongs to density_g_per_ml; give that too, or leave this out")
                for name in ("density_uncertainty_g_per_ml", "density_origin")
                if getattr(self, name) is not None
            ]
        if not ways and self.sugar_g_per_l is None and not self.abv_percent:
            faults.append(
                Fault(
                    "/density_g_per_ml",
                    "the density is missing; give density_g_per_ml, weighed or brix, or strength and "
                    "sugar (water: abv_percent 0 and sugar_g_per_l 0)",
                )
            )
        require_none(faults)

    def _stated(self, g_per_ml: float) -> Density:
        try:
            found = density.entered(g_per_ml, self.density_at_c, self.density_uncertainty_g_per_ml)
        except QuantityError as error:
            raise FormError([Fault("/density_uncertainty_g_per_ml", str(error))]) from error
        return replace(found, origin=self.density_origin or Origin.ENTERED)

    @classmethod
    def of(cls, liquid: Liquid) -> Self:
        """The form of a liquid: the density as a number with its origin, so that nothing is lost."""
        return cls.of_liquid(liquid, brix=None, weighed=None)


def _faults_of_origin(liquid: Liquid) -> list[Fault]:
    """The faults of a density that claims to come from a formula and does not match it."""
    stated = liquid.density
    if stated.origin in _BY_HAND:
        return []
    by_formula = liquid.composition.density_g_per_ml(stated.at_c)
    if abs(by_formula - stated.g_per_ml) <= stated.uncertainty_g_per_ml:
        return []
    return [
        Fault(
            "/density_origin",
            f"by {stated.origin} the density at {stated.at_c:g} °C must be {by_formula:.5f} g/ml, "
            f"got {stated.g_per_ml:g} g/ml; leave density_origin out, or correct strength, sugar or density",
        )
    ]


def _rounded(way: Callable[[float], Density], at_c: float, pointer: str) -> Density:
    """The density to 0.000001 g/ml, far below any uncertainty, so that it is written without loss."""
    try:
        found = way(at_c)
    except QuantityError as error:
        raise FormError([Fault(pointer, str(error))]) from error
    return Density(round(found.g_per_ml, 6), round(found.uncertainty_g_per_ml, 6), found.origin, found.at_c)
