"""The bodies of the API, with units in their names."""

from hashlib import sha256
from typing import ClassVar

from pydantic import BaseModel, ConfigDict, Field, computed_field

from tarewell.setup_file.forms import Form as Body
from tarewell.setup_file.forms import Name, Slug

__all__ = ["Body", "CatalogueView", "Name", "Slug", "Tagged", "View"]


class View(BaseModel):
    """A response body. One that matches a form has that form as its other base."""

    model_config = ConfigDict(
        frozen=True, extra="ignore", strict=False, json_schema_serialization_defaults_required=True
    )


class Tagged(View):
    """A response body for an item that several people may edit. `untagged` are the fields that nobody edits,
    which its tag does not cover."""

    untagged: ClassVar[frozenset[str]] = frozenset({"etag"})

    @computed_field(description="entity tag, RFC 9110, for If-Match")  # type: ignore[prop-decorator]
    @property
    def etag(self) -> str:
        """Equal for equal contents, quoted as in the headers."""
        shown = self.model_dump_json(exclude=set(self.untagged))
        return f'"{sha256(shown.encode()).hexdigest()[:32]}"'


class CatalogueView(Tagged):
    """Common to all items that are retired and never deleted."""

    id: str
    active: bool = Field(description="false: retired, kept for the history")
