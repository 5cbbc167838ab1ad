"""The whole set-up as values, and its faults."""

from dataclasses import dataclass, field
from typing import TypeVar

from tarewell.menu.checks import Fault, faults_of_setup
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe
from tarewell.records.values import Channel

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
        """This set-up merged over another: items that only the other has stay, and come first."""
        return Setup(
            _laid(self.liquids, below.liquids),
            _laid(self.glasses, below.glasses),
            _laid(self.recipes, below.recipes),
            _laid(self.channels, below.channels),
            _laid(self.bottles, below.bottles),
        )

    def faults(self) -> list[Fault]:
        """The faults of each part and of the whole; the pointers use ids and numbers."""
        carried = {number: channel.liquid_id for number, channel in self.channels.items()}
        return faults_of_setup(self.liquids, self.glasses, self.recipes, carried, self.bottles)


def _laid(upper: dict[_Key, _Value], lower: dict[_Key, _Value]) -> dict[_Key, _Value]:
    return {key: value for key, value in lower.items() if key not in upper} | upper
