"""The machine with real firmware in it: physics, wires and back door around an emulated chip."""

from tarewell_sim.bench import Bench
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.specs import Scenario

from .board import EmulatedBoard
from .building import build_firmware, build_library


class EmulatedBench(Bench):
    """The back door, with the faults that only a real chip has."""

    def __init__(self, machine: "EmulatedMachine") -> None:
        super().__init__(machine)
        self._emulated = machine.emulated

    def unplug(self) -> None:
        """Pull the data cable; bytes that the chip's serial line has begun with are gone too."""
        super().unplug()
        self._emulated.chip.cut()

    def hang(self, interrupts: bool = False) -> None:
        """Let the firmware hang in an endless loop; its interrupts are served on or not."""
        self._emulated.hang(interrupts)

    def lose_bytes(self, count: int) -> None:
        """Lose the next bytes that the chip receives to an overrun."""
        self._emulated.chip.faults.lose(count)

    def delay_conversion(self, by_s: float) -> None:
        """Let the next conversion come later than it should."""
        self._emulated.delay_conversion(by_s)


class EmulatedMachine(SimulatedMachine):
    """A dispenser whose board is the firmware that a real one runs.

    What the scenario says of identity, channels and limits is the firmware's own affair and is left out;
    rate of the line, of the converter and of the clock, boot time and display are heeded.
    """

    def __init__(self, scenario: Scenario, seed: int = 0, *, sketch: bool = False) -> None:
        """Build firmware, by make or as a sketch, and library where they are out of date, and power up.

        Raises:
            BuildError: a tool is missing, or the firmware does not build.
        """
        spec = scenario.board
        elf = build_firmware(spec.baud, scenario.scale.adc.rate_hz, spec.display, sketch=sketch)
        self.emulated = EmulatedBoard(scenario, build_library(), elf, seed)
        super().__init__(scenario, seed, self.emulated)
        self.bench: Bench = EmulatedBench(self)
