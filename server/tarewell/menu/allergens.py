"""The allergens that must be declared: Annex II of Regulation (EU) No 1169/2011, in its order.

The wording is ours. Other countries have other lists; ask your food authority.
"""

from enum import StrEnum

NOT_CHECKED = "not checked"
NONE_DECLARED = "none declared"
"""How a drink's allergens are shown when nobody has checked, and when somebody has and found none."""


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
