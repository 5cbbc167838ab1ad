"""The bodies of the API, with units in their names."""

from hashlib import sha256

from pydantic import BaseModel, ConfigDict, computed_field

from tarewell.setup_file.forms import Form as Body
from tarewell.setup_file.forms import Name, Slug

__all__ = ["Body", "Name", "Slug", "Tagged", "View"]


class View(BaseModel):
    """What a client is shown."""

    model_config = ConfigDict(frozen=True)


class Tagged(View):
    """What a client is shown of a thing that several people may edit."""

    @computed_field(description="entity tag, RFC 9110, for If-Match")  # type: ignore[prop-decorator]
    @property
    def etag(self) -> str:
        """The same for the same facts, in quotes as the headers have it."""
        shown = self.model_dump_json(exclude={"etag"})
        return f'"{sha256(shown.encode()).hexdigest()[:32]}"'
