"""From a set-up to the text of its file, which reads back as the same set-up."""

from collections.abc import Mapping
from typing import Any

import tomli_w

from .document import FORMAT
from .forms import Form
from .glass_forms import GlassForm
from .liquid_forms import LiquidForm
from .recipe_forms import RecipeForm
from .setup import Setup
from .stock_forms import ChannelForm, MountedBottleForm

HEAD = """\
# Set-up of a Tarewell machine: docs/setup-file.md tells what each entry means.
# Names and allergens are what somebody typed in; the label of the bottle goes first.

"""


def written(form: Form) -> dict[str, Any]:
    """A form as plain values; what is as it would be without being written is left out."""
    return form.model_dump(mode="json", exclude_none=True, exclude_defaults=True)


def write_setup(setup: Setup) -> str:
    """The set-up as TOML, sorted by id and number, so that equal set-ups have equal texts."""
    tables: Mapping[str, Mapping[str, Form]] = {
        "liquids": {key: LiquidForm.of(value) for key, value in setup.liquids.items()},
        "glasses": {key: GlassForm.of(value) for key, value in setup.glasses.items()},
        "recipes": {key: RecipeForm.of(value) for key, value in setup.recipes.items()},
        "channels": {str(key): ChannelForm.of(value) for key, value in setup.channels.items()},
        "bottles": {key: MountedBottleForm.of(value) for key, value in setup.bottles.items()},
    }
    document: dict[str, Any] = {"format": FORMAT}
    for name, forms in tables.items():
        if forms:
            document[name] = {key: written(forms[key]) for key in sorted(forms)}
    return HEAD + tomli_w.dumps(document)
