"""The allergens that must be declared: Annex II of Regulation (EU) No 1169/2011, in its order.

The list is kept as names here, wording ours. Other countries have other lists; ask your food authority.
"""

from enum import StrEnum


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


MEANING = {
    Allergen.GLUTEN: "cereals with gluten, and what is made from them",
    Allergen.CRUSTACEANS: "crustaceans, and what is made from them",
    Allergen.EGGS: "eggs, and what is made from them",
    Allergen.FISH: "fish, and what is made from it (some finings)",
    Allergen.PEANUTS: "peanuts, and what is made from them",
    Allergen.SOYBEANS: "soybeans, and what is made from them",
    Allergen.MILK: "milk with lactose, and what is made from it",
    Allergen.NUTS: "tree nuts: almond, hazelnut, walnut and others; many nut liqueurs and syrups",
    Allergen.CELERY: "celery, and what is made from it",
    Allergen.MUSTARD: "mustard, and what is made from it",
    Allergen.SESAME: "sesame seeds, and what is made from them",
    Allergen.SULPHITES: "sulphur dioxide and sulphites, over 10 mg/l; most wines",
    Allergen.LUPIN: "lupin, and what is made from it",
    Allergen.MOLLUSCS: "molluscs, and what is made from them",
}
"""What each entry covers, for people."""
