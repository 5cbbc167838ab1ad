"""Which leg of which glass a pour serves."""

import re
from dataclasses import dataclass

_SERVING = re.compile(r"(?P<round>[0-9a-f-]{36})/(?P<glass>\d+)/(?P<attempt>\d+)/(?P<leg>\d+)")


@dataclass(frozen=True, slots=True)
class Serving:
    """The leg, attempt and glass of a round that a pour serves; its text is a pour's `serving_id`."""

    round_id: str
    glass: int
    attempt: int
    leg: int

    def __str__(self) -> str:
        return f"{self.round_id}/{self.glass}/{self.attempt}/{self.leg}"


def serving_of(text: str | None) -> Serving | None:
    """The serving of a `serving_id`; None where it does not belong to a round."""
    match = _SERVING.fullmatch(text or "")
    if match is None:
        return None
    return Serving(match["round"], int(match["glass"]), int(match["attempt"]), int(match["leg"]))
