"""The set-up as one document, and its JSON Schema."""

import json
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, StringConstraints

from .forms import CHANNEL, Form, Slug
from .glass_forms import GlassForm
from .liquid_forms import LiquidForm
from .recipe_forms import RecipeForm
from .stock_forms import ChannelForm, MountedBottleForm

FORMAT = 1
"""Version of the file format; an older program refuses a newer one."""

ChannelKey = Annotated[str, StringConstraints(pattern=CHANNEL)]


def _table() -> Any:
    """A table whose keys match one pattern; the schema must forbid others explicitly."""
    return Field(default_factory=dict, json_schema_extra={"additionalProperties": False})


class SetupDocument(Form):
    """Liquids, glasses, recipes, channels and bottles, each in a table by its id (channels by number)."""

    model_config = ConfigDict(title="Set-up of a Tarewell machine")

    format: Literal[1] = Field(description="version of this format: 1")
    liquids: dict[Slug, LiquidForm] = _table()
    glasses: dict[Slug, GlassForm] = _table()
    recipes: dict[Slug, RecipeForm] = _table()
    channels: dict[ChannelKey, ChannelForm] = _table()
    bottles: dict[Slug, MountedBottleForm] = _table()


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a set-up file, once it has been read as TOML."""
    schema = SetupDocument.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def json_schema_text() -> str:
    """The schema as it is published in docs/setup.schema.json."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"
