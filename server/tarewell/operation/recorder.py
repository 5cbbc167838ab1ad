"""Records a pour, from its intent to its outcome, in order through the writer."""

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from tarewell.dosing import events as e
from tarewell.dosing.alarms import Alarm
from tarewell.records.learned import add_inflight
from tarewell.records.pour_changes import append_trace, finish_pour
from tarewell.records.transaction import append_event
from tarewell.records.writer import Writer

from .runner import Runner

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
    """Queues events and pours for the writer and never waits for the database."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer

    def append(self, kind: str, body: Mapping[str, Any], pour_id: str | None = None) -> None:
        """Queue an event for the journal."""
        self._writer.keep(append_event, kind, body, pour_id)

    def note(self, pour_id: str, output: e.PourOutput) -> None:
        """Queue a pour's output for the journal, if people follow that kind."""
        match output:
            case e.PourStateChanged(state):
                self.append("pour_state", {"state": state}, pour_id)
            case e.Raised(found):
                self.append("alarm", alarm_body(found), pour_id)
            case e.Rescaled():
                self.append("pour_rescaled", asdict(output), pour_id)

    async def record(self, runner: Runner, kept: Callable[[], None]) -> None:
        """Write the trace of a pour as it runs, then its outcome and what it taught.

        Returns once everything is queued; `kept` is called once the outcome is in the records. Where an
        outcome can never be written, the pour is closed without doses and trace.
        """
        pour_id, pour_log = runner.pour_id, runner.log
        while not runner.over.done():
            await asyncio.wait({runner.over}, timeout=TRACE_S)
            if not runner.over.done() and (entries := pour_log.take_entries()):
                self._writer.keep(append_trace, pour_id, entries, runner.delivered_g)
        ended, rest = pour_log.ended, pour_log.take_entries()
        if ended is None:
            raise RuntimeError(f"pour {pour_id} is over without an outcome")
        self._writer.keep_then(
            kept,
            finish_pour,
            *(pour_id, ended, tuple(pour_log.doses), pour_log.glass_g, rest),
            fallback=(pour_id, ended, (), None, ()),
        )
        for (channel, liquid_id), inflight in pour_log.learned.items():
            self._writer.keep(add_inflight, channel, liquid_id, inflight, pour_id)
