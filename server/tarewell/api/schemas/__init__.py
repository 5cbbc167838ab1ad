"""The bodies of the API, with units in their names."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Body(BaseModel):
    """What a client sends: no unknown fields, no numbers in quotes, no infinities."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


class View(BaseModel):
    """What a client is shown."""

    model_config = ConfigDict(frozen=True)


NO_CONTROLS = r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]+$"

Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=300, pattern=NO_CONTROLS, strip_whitespace=True),
    Field(description="1 to 300 characters on one line; shown as text, never as markup"),
]
