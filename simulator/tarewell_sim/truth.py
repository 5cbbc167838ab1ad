"""The physical state, for tests and demonstrations; no board can measure it."""

from typing import Any

from .mechanism import Mechanism


class Truth:
    """The state at the machine's present time.

    Mass is conserved: bottles, tubes, air, the placed glass, `in_hand_g`, `spilled_g` and `away_g`
    add up to `brought_g`.
    """

    def __init__(self, machine: Mechanism) -> None:
        self._machine = machine

    @property
    def glass_present(self) -> bool:
        """Whether a glass is on the platform."""
        return self._machine.plant.glass is not None

    @property
    def glass_contents_g(self) -> float:
        """Contents of the placed glass, 0 without one."""
        return self._machine.plant.glass.contents_g if self._machine.plant.glass else 0.0

    @property
    def in_hand_g(self) -> float:
        """Contents of the lifted glass."""
        return self._machine.plant.shelf.contents_g if self._machine.plant.shelf else 0.0

    @property
    def delivered_g(self) -> dict[int, float]:
        """Mass that landed in glasses since the start, by channel."""
        return dict(self._machine.plant.delivered_g)

    @property
    def spilled_g(self) -> float:
        """Mass that fell beside, overflowed or leaked since the start."""
        return self._machine.plant.spilled_g

    @property
    def air_g(self) -> float:
        """Mass between nozzles and glass."""
        return sum(line.jet.mass_g for line in self._machine.plant.lines.values())

    @property
    def bottle_g(self) -> dict[int, float]:
        """Contents of the bottles, by channel."""
        return {number: line.bottle_g for number, line in self._machine.plant.lines.items()}

    @property
    def tube_g(self) -> dict[int, float]:
        """Contents of the tubes, by channel."""
        return {number: line.tube_g for number, line in self._machine.plant.lines.items()}

    @property
    def brought_g(self) -> float:
        """Mass at the start, and mass brought since."""
        return self._machine.plant.brought_g

    @property
    def away_g(self) -> float:
        """Mass taken away for good, in bottles and glasses."""
        return self._machine.plant.away_g

    @property
    def pump_on(self) -> frozenset[int]:
        """Channels whose motor has voltage."""
        return frozenset(number for number, line in self._machine.plant.lines.items() if line.driven)

    @property
    def lcd(self) -> tuple[str, ...]:
        """The lines of the display; none while the board is down or has no display."""
        return self._machine.board.display

    def flow_g_per_s(self, channel: int) -> float:
        """Flow from the nozzle of a channel, without the drops after a stop."""
        return self._machine.plant.lines[channel].flow_g_per_s

    def as_dict(self) -> dict[str, Any]:
        """The whole state, ready for JSON."""
        names = [name for name, value in vars(Truth).items() if isinstance(value, property)]
        values = {name: getattr(self, name) for name in names}
        values["pump_on"] = sorted(self.pump_on)
        values["flow_g_per_s"] = {number: self.flow_g_per_s(number) for number in self._machine.plant.lines}
        return values | {"now_s": self._machine.now_s}
