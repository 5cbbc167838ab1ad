"""Common to the forms of liquids, glasses, recipes and bottles. A form is an item as people write it, in a
set-up file or in the body of a request; units are in the names of its fields."""

from collections.abc import Sequence
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from tarewell.menu.checks import MAX_ID, MAX_NAME, MAX_NOTE, Fault
from tarewell_protocol.messages import CHANNELS_MAX

SLUG = r"^[a-z0-9]+(-[a-z0-9]+)*$"
MAX_SLUG = MAX_ID

NO_CONTROLS = r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]+$"
_NO_CONTROLS_BUT_NEWLINES = r"^[^\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]*$"
MOMENT = r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,6})?Z$"
VISIBLE = r"^[\x21-\x7e]+$"
CHANNEL = rf"^[1-{CHANNELS_MAX}]$"
_OF_A_LABEL = r"\x00-\x1f\x7f-\x9f\u2028\u2029/"
GUEST = rf"^[^{_OF_A_LABEL}]*[^{_OF_A_LABEL}.][^{_OF_A_LABEL}]*$"
"""A label that can be part of a path: `.` and `..` cannot."""


class Form(BaseModel):
    """Written input: no unknown fields, no numbers in quotes, no infinities."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)

    @classmethod
    def taken_from(cls, value: object, **different: Any) -> Self:
        """The form of `value`: each field is its attribute of the same name, except those in `different`. It
        is not validated, so that stored items can be shown whatever they contain."""
        same = {name: getattr(value, name) for name in cls.model_fields if name not in different}
        return cls.model_construct(**same, **different)


Slug = Annotated[str, StringConstraints(pattern=SLUG, max_length=MAX_SLUG)]

Name = Annotated[
    str,
    StringConstraints(min_length=1, max_length=MAX_NAME, pattern=NO_CONTROLS, strip_whitespace=True),
    Field(description="1 to 300 characters on one line; shown as text, never as markup"),
]

Note = Annotated[
    str,
    StringConstraints(max_length=MAX_NOTE, pattern=_NO_CONTROLS_BUT_NEWLINES),
    Field(description="anything worth knowing, up to 2000 characters"),
]

Colour = Annotated[
    str,
    StringConstraints(max_length=7, pattern=r"^#[0-9a-f]{6}$"),
    Field(description="how it looks in pictures, #rrggbb in lower case; null: found by its id"),
]

Amount = Annotated[
    str,
    StringConstraints(min_length=1, max_length=60, pattern=NO_CONTROLS),
    Field(
        description="number and unit, such as 45 ml, 1.5 oz, 20 g or 2 parts",
        examples=["45 ml", "1.5 oz", "2 parts"],
    ),
]


class FormError(ValueError):
    """A well-formed form without a valid meaning; `faults` points at each field."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("; ".join(fault.message for fault in faults))
        self.faults = tuple(faults)


def require_none(faults: Sequence[Fault]) -> None:
    """Raise the faults of a form.

    Raises:
        FormError: there are some.
    """
    if faults:
        raise FormError(faults)


ALTERNATIVES = ("<dose>", "<hand>", "<volume>", "<bottle>")
"""Tags of a field's alternative forms, which are not part of the input."""


def pointer_to(path: Sequence[str | int]) -> str:
    """The place of a pydantic error as a JSON pointer (RFC 6901) into the input."""
    steps = (str(step) for step in path if step not in ALTERNATIVES and step != "[key]")
    return "".join("/" + step.replace("~", "~0").replace("/", "~1") for step in steps)


_TABLE_TYPES = ("dict_type", "model_type", "model_attributes_type")
_CURES = {
    "extra_forbidden": "there is no such field; leave it out or correct its name",
    "missing": "this field is required; add it",
    **dict.fromkeys(_TABLE_TYPES, "this must be a table of named fields; write them out"),
}
_BOUNDS = ("greater_than", "greater_than_equal", "less_than", "less_than_equal")
_PATTERN_CURES = {
    SLUG: "an id has lower-case letters, digits and single hyphens, such as house-water",
    NO_CONTROLS: "text must be on one line without control characters",
    _NO_CONTROLS_BUT_NEWLINES: "text must not contain control characters; leave them out",
    MOMENT: "a time must be in UTC, such as 2031-03-14T18:30:00Z",
    VISIBLE: "only visible ASCII characters without blanks are allowed",
    CHANNEL: f"a channel is a number from 1 to {CHANNELS_MAX}",
    GUEST: "a label is one line, without a slash and not of dots alone, such as seat 14",
}


def message_of(error: Any) -> str:
    """The message for an entry of pydantic's list of errors."""
    if error["type"] == "string_pattern_mismatch":
        return _PATTERN_CURES.get(error["ctx"]["pattern"], str(error["msg"]))
    if error["type"] in _BOUNDS:
        return f"{error['msg']}, got {error['input']}; correct it"
    return _CURES.get(error["type"], "{msg}").format(msg=error["msg"].removeprefix("Value error, "))
