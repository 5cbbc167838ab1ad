"""Whether what stands on the platform is the glass that is wanted."""

from collections.abc import Iterable

from tarewell.menu.values import Glass

RETURNED_LESS_G = 5.0
"""A glass that was taken off for a step by hand may come back lighter by so much: a splash lost."""


def why_not_fresh(gross_g: float, wanted: Glass | None, kinds: Iterable[Glass]) -> str | None:
    """What is wrong with a glass of `gross_g` g as the empty one that is wanted; None: nothing is.

    A glass whose masses were never entered, or any glass (None), cannot be told from another one.
    """
    if wanted is None or wanted.lightest_g is None or wanted.heaviest_g is None:
        return None
    if wanted.lightest_g <= gross_g <= wanted.heaviest_g:
        return None
    looks = [kind.name for kind in kinds if kind.id != wanted.id and _may_be(kind, gross_g)]
    seen = f"{gross_g:.0f} g stand there" + (f", as of {' or '.join(looks)}" if looks else "")
    return (
        f"{seen}; an empty {wanted.name} of {wanted.lightest_g:g} to {wanted.heaviest_g:g} g is wanted: "
        "put one there"
    )


def why_not_returned(gross_g: float, last_g: float) -> str | None:
    """What is wrong with a glass of `gross_g` g as the one that weighed `last_g` g; None: nothing is."""
    if gross_g >= last_g - RETURNED_LESS_G:
        return None
    return (
        f"{gross_g:.0f} g stand there, and the glass that was begun weighed {last_g:.0f} g; put it back, or "
        "skip it"
    )


def _may_be(kind: Glass, gross_g: float) -> bool:
    return (
        kind.lightest_g is not None
        and kind.heaviest_g is not None
        and kind.lightest_g <= gross_g <= kind.heaviest_g
    )
