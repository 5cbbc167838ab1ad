"""Every field of what is written down stands in the example and on the page."""

import re
import tomllib
from pathlib import Path

import pytest

from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.forms import Form
from tarewell.setup_file.glass_forms import GlassForm
from tarewell.setup_file.liquid_forms import LiquidForm, WeighedBottle, WeighedVolume
from tarewell.setup_file.recipe_forms import DoseForm, HandForm, RecipeForm
from tarewell.setup_file.stock_forms import ChannelForm, MountedBottleForm

BAR = tomllib.loads(INTERVAL_BAR.read_text("utf-8"))
PAGE = (Path(__file__).parents[3] / "docs" / "setup-file.md").read_text("utf-8")
SECTIONS = dict(re.findall(r"^### (\w+)\n(.*?)(?=^##|\Z)", PAGE, re.DOTALL | re.MULTILINE))
FORMS: dict[str, type[Form]] = {
    "liquids": LiquidForm,
    "glasses": GlassForm,
    "recipes": RecipeForm,
    "channels": ChannelForm,
    "bottles": MountedBottleForm,
}
PARTS: dict[str, tuple[type[Form], ...]] = {
    "liquids": (WeighedVolume, WeighedBottle),
    "recipes": (DoseForm, HandForm),
}


@pytest.mark.parametrize("table", FORMS)
def test_the_example_shows_every_field(table: str) -> None:
    shown = set().union(*(part.keys() for part in BAR[table].values()))
    assert shown == FORMS[table].model_fields.keys()


@pytest.mark.parametrize("table", FORMS)
def test_the_page_tells_of_every_field_and_of_no_other(table: str) -> None:
    section = SECTIONS[table.capitalize()]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    headed = {name for row in rows for name in re.findall(r"`(\w+)`", row)}
    assert headed <= FORMS[table].model_fields.keys()
    fields = set().union(*(form.model_fields for form in (FORMS[table], *PARTS.get(table, ()))))
    assert fields <= set(re.findall(r"\b[a-z][a-z_]*\b", section))
