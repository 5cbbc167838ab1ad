"""A glass as it is written down."""

from typing import Self

from pydantic import ConfigDict, Field, JsonValue

from tarewell.menu.checks import faults_of_glass
from tarewell.menu.values import Glass

from .forms import Form, Name, require_none

TUMBLER: dict[str, JsonValue] = {
    "name": "Foyer tumbler",
    "brim_ml": 320.0,
    "headroom_ml": 40.0,
    "lightest_g": 231.0,
    "heaviest_g": 262.0,
}


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
        glass = Glass(
            id=glass_id,
            name=self.name,
            brim_ml=self.brim_ml,
            headroom_ml=self.headroom_ml,
            lightest_g=self.lightest_g,
            heaviest_g=self.heaviest_g,
        )
        require_none(faults_of_glass(glass))
        return glass

    @classmethod
    def of(cls, glass: Glass) -> Self:
        """As it is written out."""
        return cls(
            name=glass.name,
            brim_ml=glass.brim_ml,
            headroom_ml=glass.headroom_ml,
            lightest_g=glass.lightest_g,
            heaviest_g=glass.heaviest_g,
        )
