"""The form of a recipe: doses and steps by hand in order, amounts as people write them."""

from typing import Annotated, Any, Self

from pydantic import ConfigDict, Discriminator, Field, Tag

from tarewell.menu.checks import MAX_STEPS, Fault
from tarewell.menu.hands import FIGURES, Hand, HandStep
from tarewell.menu.values import Recipe, RecipeDose
from tarewell.quantities.errors import QuantityError
from tarewell.quantities.units import Amount as Quantity
from tarewell.quantities.units import SmallMeasures, parse_amount

from .example import example
from .forms import Amount, Form, FormError, Name, Note, Slug

COOLER = example("recipes", "green-room-cooler")
BELL = example("recipes", "second-bell")


class DoseForm(Form):
    """A liquid that the machine pours."""

    liquid_id: Slug
    amount: Amount


class HandForm(Form):
    """A step that a person does and confirms; docs/menu.md lists the fields of each kind."""

    hand: Hand = Field(strict=False)
    what: Name
    ice_g: float = Field(
        default=0.0,
        ge=0,
        le=FIGURES["ice_g"].max_value,
        description="mass of the ice, which takes room in the glass",
    )
    liquid_id: Slug | None = Field(
        default=None,
        description="what is added; null: an undescribed liquid without alcohol",
    )
    amount: Amount | None = None


_ALIKE = HandForm.model_fields.keys() - {"hand", "amount"}
"""Fields with the same name in a step by hand."""


def _kind_of_step(written: Any) -> str:
    by_hand = "hand" in written if isinstance(written, dict) else isinstance(written, HandForm)
    return "<hand>" if by_hand else "<dose>"


StepForm = Annotated[
    Annotated[DoseForm, Tag("<dose>")] | Annotated[HandForm, Tag("<hand>")], Discriminator(_kind_of_step)
]


class RecipeForm(Form):
    """A drink of `volume_ml`; without that, parts fill the glass, else the amounts decide."""

    model_config = ConfigDict(json_schema_extra={"examples": [COOLER, BELL]})

    name: Name
    glass_id: Slug | None = Field(default=None, description="the glass it is served in; null: any")
    volume_ml: float | None = Field(default=None, gt=0, le=10000, description="without ice")
    price: float | None = Field(
        default=None, ge=0, description="what a guest pays for a glass; null: not set"
    )
    keep_order: bool = Field(
        default=False,
        description="pour the doses in the order of the steps; false: within a pour the smallest comes first",
    )
    steps: list[StepForm] = Field(min_length=1, max_length=MAX_STEPS)
    note: Note = ""

    def recipe(self, recipe_id: str, small: SmallMeasures) -> Recipe:
        """The recipe; `small` gives the sizes of dash and barspoon. Whether its liquids and glass exist is
        not checked here.

        Raises:
            FormError: an amount that cannot be read.
        """
        faults: list[Fault] = []
        steps: list[RecipeDose | HandStep] = []
        for index, step in enumerate(self.steps):
            try:
                steps.append(_step(step, small))
            except QuantityError as error:
                faults.append(Fault(f"/steps/{index}/amount", str(error)))
        if faults:
            raise FormError(faults)
        return Recipe(id=recipe_id, **dict(self) | {"steps": tuple(steps)})

    @classmethod
    def of(cls, recipe: Recipe) -> Self:
        """The form of a recipe."""
        return cls.taken_from(recipe, steps=[_written(step) for step in recipe.steps])


def _step(form: DoseForm | HandForm, small: SmallMeasures) -> RecipeDose | HandStep:
    if isinstance(form, DoseForm):
        return RecipeDose(form.liquid_id, form.amount, parse_amount(form.amount, small))
    amount: Quantity | None = None if form.amount is None else parse_amount(form.amount, small)
    alike = {name: getattr(form, name) for name in _ALIKE}
    return HandStep(form.hand, text=form.amount or "", amount=amount, **alike)


def _written(step: RecipeDose | HandStep) -> DoseForm | HandForm:
    if isinstance(step, RecipeDose):
        return DoseForm(liquid_id=step.liquid_id, amount=step.text)
    alike = {name: getattr(step, name) for name in _ALIKE}
    return HandForm(hand=step.kind, amount=step.text or None, **alike)
