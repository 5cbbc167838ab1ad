"""The bodies of the API, with units in their names."""

from hashlib import sha256

from pydantic import BaseModel, ConfigDict, Field, computed_field

from tarewell.setup_file.forms import Form as Body
from tarewell.setup_file.forms import Name, Slug

__all__ = ["Body", "CatalogueView", "Name", "Slug", "Tagged", "View"]


class View(BaseModel):
    """What a client is shown. A thing that is shown as it is written down has its form as the other base."""

    model_config = ConfigDict(
        frozen=True, extra="ignore", strict=False, json_schema_serialization_defaults_required=True
    )


class Tagged(View):
    """What a client is shown of a thing that several people may edit."""

    @computed_field(description="entity tag, RFC 9110, for If-Match")  # type: ignore[prop-decorator]
    @property
    def etag(self) -> str:
        """The same for the same facts, in quotes as the headers have it."""
        shown = self.model_dump_json(exclude={"etag"})
        return f'"{sha256(shown.encode()).hexdigest()[:32]}"'


class CatalogueView(Tagged):
    """What is shown of everything that is retired and never deleted."""

    id: str
    active: bool = Field(description="false: retired, kept for the history")
