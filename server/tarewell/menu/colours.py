"""A colour for each liquid in pictures of glasses and bottles: the one that somebody gave it, or one of a
ring of 24 that its id chooses. It is worked out, never stored."""

from collections.abc import Iterable
from colorsys import hls_to_rgb
from hashlib import sha256

from .values import Liquid

_HUES = 12
_LIGHTNESSES = (0.36, 0.66)
_SATURATION = 0.5
_RING = [
    "#" + "".join(f"{round(255 * part):02x}" for part in hls_to_rgb(hue / _HUES, lightness, _SATURATION))
    for lightness in _LIGHTNESSES
    for hue in range(_HUES)
]
_STRIDE = 5
"""From a place that is taken to the next; without a factor in common with 24, so it finds every place."""


def colours_of(liquids: Iterable[Liquid]) -> dict[str, str]:
    """The colour of each liquid, #rrggbb, by id.

    Up to 24 liquids without a colour of their own get different ones. A liquid's colour stays the same,
    unless one with an earlier id comes to its place.
    """
    found: dict[str, str] = {}
    taken: set[int] = set()
    for liquid in sorted(liquids, key=lambda liquid: liquid.id):
        if liquid.colour is not None:
            found[liquid.id] = liquid.colour
            continue
        place = int.from_bytes(sha256(liquid.id.encode()).digest()[:4], "big") % len(_RING)
        if len(taken) == len(_RING):
            taken.clear()
        while place in taken:
            place = (place + _STRIDE) % len(_RING)
        taken.add(place)
        found[liquid.id] = _RING[place]
    return found
