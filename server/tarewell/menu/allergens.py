"""The allergens that must be declared: Annex II of Regulation (EU) No 1169/2011, in its order.

The list is kept as names here, wording ours. Other countries have other lists; ask your food authority.
"""

from enum import StrEnum

NOT_CHECKED = "not checked"
NONE_DECLARED = "none declared"
"""What is told of a drink: nobody has looked, and somebody has and found none. The two are not the same."""


class Allergen(StrEnum):
    """One of the fourteen entries of Annex II."""

    GLUTEN = "gluten"
    CRUSTACEANS = "crustaceans"
    EGGS = "eggs"
    FISH = "fish"
    PEANUTS = "peanuts"
    SOYBEANS = "soybeans"
    MILK = "milk"
    NUTS = "nuts"
    CELERY = "celery"
    MUSTARD = "mustard"
    SESAME = "sesame"
    SULPHITES = "sulphites"
    LUPIN = "lupin"
    MOLLUSCS = "molluscs"
