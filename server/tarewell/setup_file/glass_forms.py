"""A glass as it is written down."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.menu.checks import faults_of_glass
from tarewell.menu.values import Glass

from .example import example
from .forms import Form, Name, require_none

TUMBLER = example("glasses", "foyer-tumbler")


class GlassForm(Form):
    """A kind of glass; by its two masses an empty one is recognised on the platform."""

    model_config = ConfigDict(json_schema_extra={"examples": [TUMBLER]})

    name: Name
    brim_ml: float = Field(gt=0, le=10000, description="what it holds up to the brim")
    headroom_ml: float = Field(ge=0, description="what stays free below the brim")
    lightest_g: float | None = Field(default=None, gt=0, description="mass of the lightest empty one")
    heaviest_g: float | None = Field(default=None, gt=0, description="mass of the heaviest empty one")

    def glass(self, glass_id: str) -> Glass:
        """What it means.

        Raises:
            FormError: facts that cannot be together.
        """
        glass = Glass(id=glass_id, **dict(self))
        require_none(faults_of_glass(glass))
        return glass

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """As it is written out."""
        return cls.taken_from(glass)
