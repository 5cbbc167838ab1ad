"""What of a pour goes into the records, from its intent to its outcome, put to the writer in order."""

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from tarewell.dosing import events as e
from tarewell.dosing.alarms import Alarm
from tarewell.dosing.inflight import InFlight
from tarewell.records.store import Store
from tarewell.records.traces import TraceEntry
from tarewell.records.values import NewPour, PourRecord

from .runner import Runner
from .writer import Writer

TRACE_S = 1.0
"""How often the trace of the pour under way is written."""


def alarm_body(found: Alarm) -> dict[str, Any]:
    """An alarm as the journal holds it."""
    return {
        "name": found.name,
        "reaction": found.reaction.value,
        "message": found.message,
        "cure": found.cure,
        "detail": found.detail,
    }


class Recorder:
    """Writes the journal and the pours through the writer; only `begin` waits for the database."""

    def __init__(self, store: Store, writer: Writer) -> None:
        self._store = store
        self._writer = writer

    def tell(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> None:
        """Have an event written to the journal."""
        self._writer.put(lambda: self._store.journal.append(kind, body, pour_id))

    def note(self, pour_id: str, output: e.PourOutput) -> None:
        """Tell the journal what of a pour people follow."""
        match output:
            case e.PourStateChanged(state):
                self.tell("pour_state", {"state": state}, pour_id)
            case e.Raised(found):
                self.tell("alarm", alarm_body(found), pour_id)
            case e.Rescaled():
                self.tell("pour_rescaled", asdict(output), pour_id)

    async def begin(self, new: NewPour) -> PourRecord:
        """Commit a pour's intent, or find the pour that its key has already.

        Raises:
            IdempotencyConflict: the key belongs to another request.
            StoreError: the records cannot be written.
        """
        return await self._writer.do(lambda: self._store.pours.begin(new))

    async def record(self, runner: Runner, kept: Callable[[], None]) -> None:
        """Write the trace of a pour as it runs, then its outcome and what it taught.

        Returns when all is put to the writer; `kept` is called once the outcome is in the records.
        """
        pour_id, pour_log = runner.pour_id, runner.log
        while not runner.over.done():
            await asyncio.wait({runner.over}, timeout=TRACE_S)
            if not runner.over.done() and (entries := pour_log.take_entries()):
                self._put_trace(pour_id, entries, runner.delivered_g)
        ended, rest = pour_log.ended, pour_log.take_entries()
        if ended is None:
            raise RuntimeError(f"pour {pour_id} is over and has not said how")

        async def finish() -> None:
            await self._store.pours.finish(pour_id, ended, pour_log.doses, pour_log.glass_g, rest)
            kept()

        self._writer.put(finish)
        for (channel, liquid_id), inflight in pour_log.learned.items():
            self._put_inflight(channel, liquid_id, inflight, pour_id)

    def _put_trace(self, pour_id: str, entries: list[TraceEntry], delivered_g: float) -> None:
        self._writer.put(lambda: self._store.pours.append_trace(pour_id, entries, delivered_g))

    def _put_inflight(self, channel: int, liquid_id: str, inflight: InFlight, pour_id: str) -> None:
        self._writer.put(lambda: self._store.inflight.add(channel, liquid_id, inflight, pour_id))
