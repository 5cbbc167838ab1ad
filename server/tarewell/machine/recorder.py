"""The flight recorder: the last minutes of all that the machine was told and answered, in memory.

An alarm, an aborted pour or an error in the program makes a recording of the time around it.
"""

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tarewell_protocol.session import SampleArrived

from .effects import AddRecording, AppendEvent, Effect, FinishPour, Persist, TellFault
from .events import MachineEvent
from .recording import Step, joined, kept, pack_state, pack_steps

BEFORE_S = 20.0
AFTER_S = 10.0
"""A recording reaches from so long before its cause to so long after it."""

LONGEST_AFTER_S = 40.0
"""One cause after the other makes it no longer than this after the first."""

EVERY_S = 60.0
"""The same cause makes one recording in this time."""

PIECE_S, MAX_PIECE_S = 1.0, 3.0
"""Steps are packed about once a second, right after a sample, so that no other waits for it; without samples
after this longer time."""

CHUNK_S = 10.0
KEPT_S = 120.0


@dataclass(frozen=True, slots=True)
class Chunk:
    """A stretch of the past: the machine's state at `begun_s`, and the packed steps from there to
    `ended_s`."""

    begun_s: float
    ended_s: float
    state: bytes
    pieces: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a recording is made, and what happened first."""

    name: str
    pour_id: str | None
    at_s: float


class FlightRecorder:
    """Records `machine`, from now on. Times in s of the host's clock."""

    def __init__(self, machine: object, now_s: float) -> None:
        self._machine = machine
        self._chunks: deque[Chunk] = deque()
        self._cause: Cause | None = None
        self._until_s = 0.0
        self._recorded_s: dict[str, float] = {}
        self._begin(now_s)

    def note(self, event: MachineEvent, effects: list[Effect], now_s: float) -> list[Effect]:
        """The machine took the event and answered with the effects, which are carried out; returns a finished
        recording to be written."""
        self._steps.append(Step(now_s, event, kept(effects) if effects else ()))
        for name, pour_id in _causes(effects) if effects else ():
            self._take_cause(Cause(name, pour_id, now_s))
        if self._cause is not None and now_s >= self._until_s:
            return self._finish(now_s)
        old_s = now_s - self._packed_s
        if old_s >= PIECE_S and (isinstance(event, SampleArrived) or old_s >= MAX_PIECE_S):
            self._pack(now_s)
            if now_s - self._begun_s >= CHUNK_S:
                self._close(now_s)
        return []

    def finish(self, cause: str, now_s: float) -> list[Effect]:
        """The program is about to end by a fault: returns the recording that ends now."""
        self._take_cause(Cause(cause, None, now_s))
        return self._finish(now_s)

    def _take_cause(self, cause: Cause) -> None:
        before = self._recorded_s.get(cause.name)
        if before is not None and cause.at_s - before < EVERY_S:
            return
        self._recorded_s[cause.name] = cause.at_s
        if self._cause is None:
            self._cause = cause
        self._until_s = min(cause.at_s + AFTER_S, self._cause.at_s + LONGEST_AFTER_S)

    def _finish(self, now_s: float) -> list[Effect]:
        cause, self._cause = self._cause, None
        if cause is None:
            return []
        self._pack(now_s)
        self._close(now_s)
        from_s = cause.at_s - BEFORE_S
        chunks = [chunk for chunk in self._chunks if chunk.ended_s > from_s]
        data = joined(chunks[0].state, [piece for chunk in chunks for piece in chunk.pieces])
        begun_s = chunks[0].begun_s
        return [Persist(AddRecording(cause.name, cause.pour_id, begun_s, cause.at_s, now_s, data))]

    def _begin(self, now_s: float) -> None:
        self._begun_s = self._packed_s = now_s
        self._state = pack_state(self._machine)
        self._steps: list[Step] = []
        self._pieces: list[bytes] = []

    def _pack(self, now_s: float) -> None:
        self._pieces.append(pack_steps(self._steps))
        self._steps, self._packed_s = [], now_s

    def _close(self, now_s: float) -> None:
        self._chunks.append(Chunk(self._begun_s, now_s, self._state, tuple(self._pieces)))
        while self._chunks[0].begun_s < now_s - KEPT_S:
            self._chunks.popleft()
        self._begin(now_s)


def _causes(effects: Iterable[Effect]) -> Iterator[tuple[str, str | None]]:
    for effect in effects:
        match effect:
            case Persist(AppendEvent("alarm", body, pour_id)):
                yield body["name"], pour_id
            case Persist(AppendEvent("emergency_stop", _, pour_id)):
                yield "emergency_stop", pour_id
            case Persist(FinishPour(pour_id, ended)) if ended.state == "aborted":
                yield "aborted", pour_id
            case TellFault():
                yield "program_fault", None
