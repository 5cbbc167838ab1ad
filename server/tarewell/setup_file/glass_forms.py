"""The form of a glass."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.menu.checks import faults_of_glass
from tarewell.menu.values import Glass

from .example import example
from .forms import Form, Name, require_none

TUMBLER = example("glasses", "foyer-tumbler")


class GlassForm(Form):
    """A kind of glass; its two masses identify an empty one on the platform."""

    model_config = ConfigDict(json_schema_extra={"examples": [TUMBLER]})

    name: Name
    brim_ml: float = Field(gt=0, le=10000, description="capacity up to the brim")
    headroom_ml: float = Field(ge=0, description="what stays free below the brim")
    lightest_g: float | None = Field(default=None, gt=0, description="mass of the lightest empty one")
    heaviest_g: float | None = Field(default=None, gt=0, description="mass of the heaviest empty one")
    rim_mm: float | None = Field(default=None, gt=0, description="inside diameter at the rim, to draw it")
    base_mm: float | None = Field(default=None, gt=0, description="inside diameter at the base")
    height_mm: float | None = Field(default=None, gt=0, description="inside height, base to brim")

    def glass(self, glass_id: str) -> Glass:
        """The glass.

        Raises:
            FormError: contradictory fields.
        """
        glass = Glass(id=glass_id, **dict(self))
        require_none(faults_of_glass(glass))
        return glass

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """The form of a glass."""
        return cls.taken_from(glass)
