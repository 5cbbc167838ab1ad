"""The numbers of a liquid that calculations need, worked out once."""

from dataclasses import dataclass
from functools import lru_cache

from tarewell.quantities.composition import WATER
from tarewell.quantities.density import of_water
from tarewell.quantities.strength import Content

from .values import Liquid


@dataclass(frozen=True, slots=True)
class Facts:
    """A liquid in numbers: its density as poured, that density's relative uncertainty, and its content."""

    g_per_ml: float
    uncertain_share: float
    content: Content


@lru_cache(maxsize=1024)
def facts_of(liquid: Liquid) -> Facts:
    """The numbers of a liquid.

    Raises:
        QuantityError: strength and sugar that exclude each other, or a temperature outside the formulas.
    """
    density = liquid.serving_density
    share = density.uncertainty_g_per_ml / density.g_per_ml
    return Facts(density.g_per_ml, share, liquid.content)


UNDESCRIBED = Facts(of_water().g_per_ml, 0.0, Content(WATER))
"""An undescribed top-up: counted as water."""
