"""A dispenser with somebody at it: the mechanism, hands and faults, and the truth."""

from functools import partial

from .bench import Bench
from .mechanism import Mechanism
from .mounting import MountedBoard
from .specs import Scenario
from .truth import Truth


class SimulatedMachine(Mechanism):
    """A dispenser behind the board's end of the line.

    The same scenario, seed and calls give the same bytes.
    """

    def __init__(self, scenario: Scenario, seed: int = 0, board: MountedBoard | None = None) -> None:
        """Build the machine around `board`, or around a simulated one."""
        super().__init__(scenario, seed, board)
        self.bench = Bench(self)
        self.truth = Truth(self)
        if scenario.glass.standing:
            self.bench.place_glass()
        for disturbance in scenario.disturbances:
            self.at(disturbance.at_s, partial(self.bench.call, disturbance.do, disturbance.args))
