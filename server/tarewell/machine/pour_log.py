"""The log of a pour so far: its trace, and the parts of its outcome."""

from dataclasses import dataclass, field

from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.traces import TraceEntry


@dataclass(slots=True)
class PourLog:
    """Collects every event with its outputs, in order. Masses in g, times in s of the host's clock."""

    entries: list[TraceEntry] = field(default_factory=list)
    doses: list[e.DoseEnded] = field(default_factory=list)
    learned: dict[tuple[int, str], InFlight] = field(default_factory=dict)
    glass_g: float | None = None
    ended: e.PourEnded | None = None

    def add(self, now_s: float, event: e.PourEvent, outputs: list[e.PourOutput]) -> None:
        """Append an event with its outputs."""
        self.entries.append(TraceEntry(now_s, event))
        for output in outputs:
            self.entries.append(TraceEntry(now_s, output))
            match output:
                case e.Tared(glass_g):
                    self.glass_g = glass_g
                case e.DoseEnded():
                    self.doses.append(output)
                case e.Learned(channel, liquid_id, inflight):
                    self.learned[channel, liquid_id] = inflight
                case e.PourEnded():
                    self.ended = output

    def take_entries(self) -> list[TraceEntry]:
        """The trace since the last call."""
        taken, self.entries = self.entries, []
        return taken
