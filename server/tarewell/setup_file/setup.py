"""The whole set-up as values, and what in it cannot be."""

import re
from dataclasses import dataclass, field
from typing import TypeVar

from tarewell.menu.checks import Fault, faults_of_setup
from tarewell.menu.values import Bottle, ChannelFacts, Glass, Liquid, Recipe
from tarewell.records.values import Channel

_ELSEWHERE = re.compile(r"(?<=stands at )/bottles/[0-9]+(?= already)")
"""Where a message names a second place."""

_Key = TypeVar("_Key")
_Value = TypeVar("_Value")

Part = Liquid | Glass | Recipe | Channel | Bottle


@dataclass(frozen=True, slots=True)
class Setup:
    """Liquids, glasses, recipes and bottles by id, channels by number."""

    liquids: dict[str, Liquid] = field(default_factory=dict)
    glasses: dict[str, Glass] = field(default_factory=dict)
    recipes: dict[str, Recipe] = field(default_factory=dict)
    channels: dict[int, Channel] = field(default_factory=dict)
    bottles: dict[str, Bottle] = field(default_factory=dict)

    def over(self, below: "Setup") -> "Setup":
        """This set-up laid over another: what only the other has stays, and comes first."""
        return Setup(
            _laid(self.liquids, below.liquids),
            _laid(self.glasses, below.glasses),
            _laid(self.recipes, below.recipes),
            _laid(self.channels, below.channels),
            _laid(self.bottles, below.bottles),
        )

    def faults(self) -> list[Fault]:
        """What cannot be, each part by itself and all of it together; the pointers go by id and number."""
        keys: dict[str, list[str]] = {
            "liquids": list(self.liquids),
            "glasses": list(self.glasses),
            "recipes": list(self.recipes),
            "channels": [str(number) for number in self.channels],
            "bottles": list(self.bottles),
        }
        found = faults_of_setup(
            list(self.liquids.values()),
            list(self.glasses.values()),
            list(self.recipes.values()),
            [ChannelFacts(channel.number, channel.liquid_id) for channel in self.channels.values()],
            list(self.bottles.values()),
        )
        return [
            Fault(
                _by_key(fault.pointer, keys), _ELSEWHERE.sub(lambda at: _by_key(at[0], keys), fault.message)
            )
            for fault in found
        ]


def _laid(upper: dict[_Key, _Value], lower: dict[_Key, _Value]) -> dict[_Key, _Value]:
    return {key: value for key, value in lower.items() if key not in upper} | upper


def _by_key(pointer: str, keys: dict[str, list[str]]) -> str:
    """`/liquids/0/name` as `/liquids/house-water/name`."""
    _, table, index, *rest = pointer.split("/")
    return "/".join(("", table, keys[table][int(index)], *rest))
