"""The machine with a link and at rest, to play on: its time, and its next sample."""

from machine_double import BOARD, CALIBRATION
from playbook import Playbook
from tarewell.dosing.setup import DosingSettings
from tarewell.machine import events as ev
from tarewell.machine.known import Known, MachineConfig
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell.machine.machine import Machine
from tarewell.weighing.scale import ScaleRating
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

CONFIG = MachineConfig(
    "/dev/null", 115200, "bar.db", "interval-bar", "info", ScaleRating(max_g=1000.0), DosingSettings()
)
STEP_S = 1 / 80


def sample(number: int, load_g: float = 0.0, running: int = 0, **flags: bool) -> s.SampleArrived:
    counts = round(CALIBRATION.counts(load_g)) + number % 2  # or the cell would count as frozen
    return s.SampleArrived(m.Sample(number * 12, number, counts, running=running, **flags), 0)


class At:
    """A machine with a link, at rest, and the number of its next sample."""

    def __init__(self, known: Known | None = None, load_g: float = 0.0) -> None:
        self.machine = Machine(CONFIG, known or Known(calibration=CALIBRATION))
        self.number, self.now_s = 0, 100.0
        self.connect()
        for _ in range(100):
            self.machine.handle(self.sample(load_g), self.now_s)
            self.now_s += STEP_S

    def connect(self) -> None:
        status = LinkStatus(LinkState.OPEN, self.now_s, "the board answers", BOARD)
        for event in (ev.LinkChanged(status), s.Opened(BOARD)):
            self.machine.handle(event, self.now_s)

    def sample(self, load_g: float = 0.0, **more: object) -> s.SampleArrived:
        self.number += 1
        return sample(self.number, load_g, **more)  # type: ignore[arg-type]

    @property
    def play(self) -> Playbook[Machine]:
        return Playbook(self.machine, self.now_s, STEP_S, tick=ev.Woken())
