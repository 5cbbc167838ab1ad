"""The picture of a drink: the liquids in the order of the recipe, each as high as its volume.

It shows amounts, not how the drink looks: the layers would mix, and ice would lift them. Hatching and labels
distinguish them, never colour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

WIDTH, HEIGHT = 300, 150
LEFT, RIGHT, TOP, BOTTOM = 12, 102, 8, 142

PATTERNS = 5
"""The number of hatchings in the template."""

_LABEL_GAP = 15.0
_MAX_LAYERS = 9


@dataclass(frozen=True, slots=True)
class Layer:
    """One liquid in the glass: from `top` down, its hatching, and its label at `label_y`."""

    top: float
    height: float
    pattern: int
    label: str
    label_y: float

    @property
    def middle(self) -> float:
        """The start of the line to the label."""
        return round(self.top + self.height / 2, 1)


@dataclass(frozen=True, slots=True)
class GlassPicture:
    """The coordinates of the picture; `ice_y` is None without ice."""

    layers: tuple[Layer, ...]
    ice_y: float | None
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = RIGHT
    top: int = TOP
    bottom: int = BOTTOM

    @classmethod
    def of(cls, liquids: Sequence[tuple[str, float]], brim_ml: float | None, ice_ml: float) -> Self | None:
        """The picture of these liquids (label and ml) in a glass that holds `brim_ml` up to its brim (None:
        somewhat more than the liquids). None where there is nothing to draw, or too much to read."""
        poured_ml = sum(ml for _, ml in liquids)
        if not 0 < len(liquids) <= _MAX_LAYERS or poured_ml <= 0:
            return None
        per_ml = (BOTTOM - TOP) / max(brim_ml or 0.0, 1.15 * (poured_ml + ice_ml))
        tops, level = [], float(BOTTOM)
        for _, ml in liquids:
            level -= ml * per_ml
            tops.append(level)
        numbers = {label: number for number, label in enumerate(dict.fromkeys(label for label, _ in liquids))}
        middles = [top + ml * per_ml / 2 for top, (_, ml) in zip(tops, liquids, strict=True)]
        layers = tuple(
            Layer(round(top, 1), round(ml * per_ml, 1), numbers[label] % PATTERNS, label, round(label_y, 1))
            for (label, ml), top, label_y in zip(liquids, tops, _apart(middles), strict=True)
        )
        return cls(layers, round(level, 1) if ice_ml else None)


def _apart(middles: Sequence[float]) -> list[float]:
    """Places for labels near these falling heights, at least a line of text apart."""
    places: list[float] = []
    for middle in middles:
        places.append(min(middle, places[-1] - _LABEL_GAP) if places else middle)
    below = max(TOP + _LABEL_GAP / 2 - places[-1], 0.0)
    return [place + below for place in places]
