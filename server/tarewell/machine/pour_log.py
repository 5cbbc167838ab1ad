"""The log of a pour so far: its trace, and the parts of its outcome."""

from dataclasses import dataclass, field

from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.states import PourState
from tarewell.dosing.traces import TraceEntry

_ABORTS = (PourState.ABORTING, PourState.ABORTED)


@dataclass(slots=True)
class PourLog:
    """Collects every event with its outputs, in order. Masses in g, times in s of the host's clock."""

    entries: list[TraceEntry] = field(default_factory=list)
    doses: list[e.DoseEnded] = field(default_factory=list)
    learned: dict[tuple[int, str], InFlight] = field(default_factory=dict)
    glass_g: float | None = None
    added_g: float = 0.0
    """What lies on the platform and is neither glass nor drink."""
    dose: int | None = None
    """The dose that began last."""
    left: str = ""
    """The present state; of an aborted pour the one that it left."""
    ended: e.PourEnded | None = None

    def add(self, now_s: float, event: e.PourEvent, outputs: list[e.PourOutput]) -> None:
        """Append an event with its outputs."""
        self.entries.append(TraceEntry(now_s, event))
        for output in outputs:
            self.entries.append(TraceEntry(now_s, output))
            self.note(output)

    def note(self, item: e.PourEvent | e.PourOutput) -> None:
        """Note what an entry of the trace tells."""
        match item:
            case e.Tared(glass_g):
                self.glass_g = glass_g
            case e.DoseBegan(index):
                self.dose = index
            case e.DoseEnded():
                self.doses.append(item)
            case e.Balanced():
                self.added_g += item.added_g
            case e.PourStateChanged(state) if state not in _ABORTS:
                self.left = state
            case e.Learned(channel, liquid_id, inflight):
                self.learned[channel, liquid_id] = inflight
            case e.PourEnded():
                self.ended = item

    def take_entries(self) -> list[TraceEntry]:
        """The trace since the last call."""
        taken, self.entries = self.entries, []
        return taken
