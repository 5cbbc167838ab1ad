"""Writes a set-up as the text of a file, which reads back as the same set-up."""

from collections.abc import Mapping
from typing import Any

import tomli_w

from tarewell.menu.values import Bottle, Glass, Liquid, Recipe
from tarewell.records.values import Channel

from .document import FORMAT
from .forms import Form
from .glass_forms import GlassForm
from .liquid_forms import LiquidForm
from .recipe_forms import RecipeForm
from .setup import Part, Setup
from .stock_forms import ChannelForm, MountedBottleForm

HEAD = """\
# Set-up of a Tarewell machine: docs/setup-file.md explains each entry.
# Names and allergens are as entered; the label of the bottle takes precedence.

"""


def form_of(part: Part) -> Form:
    """The form of a part of the set-up."""
    match part:
        case Liquid():
            return LiquidForm.of(part)
        case Glass():
            return GlassForm.of(part)
        case Recipe():
            return RecipeForm.of(part)
        case Channel():
            return ChannelForm.of(part)
        case Bottle():
            return MountedBottleForm.of(part)


def written(form: Form) -> dict[str, Any]:
    """A form as plain values, without fields that have their default."""
    return form.model_dump(mode="json", exclude_none=True, exclude_defaults=True)


def write_setup(setup: Setup) -> str:
    """The set-up as TOML, sorted by id and number, so that equal set-ups have equal texts."""
    tables: tuple[tuple[str, Mapping[Any, Part]], ...] = (
        ("liquids", setup.liquids),
        ("glasses", setup.glasses),
        ("recipes", setup.recipes),
        ("channels", setup.channels),
        ("bottles", setup.bottles),
    )
    document: dict[str, Any] = {"format": FORMAT}
    for name, parts in tables:
        if parts:
            document[name] = {str(key): written(form_of(parts[key])) for key in sorted(parts)}
    return HEAD + tomli_w.dumps(document)
