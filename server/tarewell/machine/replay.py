"""Replays a recording: feeds the machine what happened, and compares what it answers."""

from dataclasses import dataclass

from tarewell.dosing.replay import alike

from .effects import Effect
from .events import MachineEvent
from .recording import kept, read


@dataclass(frozen=True, slots=True)
class StepDifference:
    """The first event, at the host time `now_s`, to which the machine answers otherwise."""

    now_s: float
    event: MachineEvent
    recorded: tuple[Effect, ...]
    replayed: tuple[Effect, ...]

    @property
    def lines(self) -> list[str]:
        """As text: `-` was recorded and did not come, `+` came instead."""
        told = [f"   >> {self.event}  at {self.now_s:.3f} s"]
        for position in range(max(len(self.recorded), len(self.replayed))):
            was, now = (side[position : position + 1] for side in (self.recorded, self.replayed))
            if was and now and alike(was[0], now[0]):
                told.append(f"   << {was[0]}")
            else:
                told += [*(f" - << {effect}" for effect in was), *(f" + << {effect}" for effect in now)]
        return told


@dataclass(frozen=True, slots=True)
class RecordingReport:
    """The result of a replay: how many events and effects were the same up to the first difference."""

    events: int
    effects: int
    difference: StepDifference | None


def replay_recording(data: bytes) -> RecordingReport:
    """Feed the recorded events to the machine that the recording begins with, up to the first difference.

    Raises:
        RecordingError: it cannot be read.
    """
    machine, steps = read(data)
    effects = 0
    for number, step in enumerate(steps):
        came = kept(machine.handle(step.event, step.now_s))
        if not alike(step.effects, came):
            return RecordingReport(
                number, effects, StepDifference(step.now_s, step.event, step.effects, came)
            )
        effects += len(came)
    return RecordingReport(len(steps), effects, None)
