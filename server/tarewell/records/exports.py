"""Traces and the history as tables for people and their spreadsheets: CSV as in RFC 4180, or plain dicts.

A cell that a spreadsheet would take for a formula starts with an apostrophe (common practice, no source).
"""

import csv
import io
import json
from collections.abc import AsyncIterator, Iterable, Iterator
from dataclasses import asdict, astuple, dataclass, fields, replace
from typing import Any

from tarewell.dosing.events import Weighed
from tarewell.dosing.traces import TraceEntry, name_of
from tarewell.machine.pour_record import DoseRecord, PourRecord
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import CHANNELS_MAX, Sample

from .chain import canonical
from .journal import Journal
from .pours import PourRecords
from .tables import utc_text
from .values import MAX_PAGE, PourQuery

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class TraceLine:
    """One line of a trace. `what` is "sample" or the name of the event, command or state change.

    A sample fills the middle columns, everything else `detail`. `host_s` is the host's monotonic clock,
    `gross_g` by the calibration of the time; `running` lists channels ("1", "1 3"), `flags` the
    sample's flags by name.
    """

    host_s: float
    what: str
    board_ms: int | None = None
    count: int | None = None
    counts: int | None = None
    gross_g: float | None = None
    running: str | None = None
    flags: str | None = None
    detail: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One dose of one pour; times in ISO 8601, UTC; masses in g. None: it did not end, or was not observed.

    `aimed_g` is `target_g`, or what it was rescaled to; `deviation_g` is from there. `found_later` is how
    certain that is which was found after the pour; its mass is on the line of its dose, or on the first.
    `final_g` is `delivered_g` with what dripped or was found later; the uncertainties are standard ones.
    """

    pour_id: str
    created_at: str
    ended_at: str | None
    state: str
    cause: str | None
    origin: str
    purpose: str
    recipe_id: str | None
    recipe_name: str | None
    dose: int
    channel: int
    liquid_id: str
    liquid_name: str
    density_g_per_ml: float
    abv_percent: float | None
    target_g: float
    aimed_g: float
    delivered_g: float | None
    deviation_g: float | None
    verdict: str | None
    dose_cause: str | None
    found_later: str | None
    found_later_g: float | None
    uncertainty_g: float | None
    final_g: float | None
    final_uncertainty_g: float | None


def trace_lines(entries: Iterable[TraceEntry], calibration: Calibration) -> Iterator[TraceLine]:
    """A trace line by line, with the calibration of the pour's setup."""
    for entry in entries:
        if isinstance(entry.item, Weighed):
            yield sample_line(entry.now_s, entry.item.sample, calibration)
        else:
            yield TraceLine(entry.now_s, name_of(entry.item), detail=asdict(entry.item))


def sample_line(host_s: float, sample: Sample, calibration: Calibration | None) -> TraceLine:
    """A sample as a line; without a calibration it has no `gross_g`."""
    channels = [n for n in range(1, CHANNELS_MAX + 1) if sample.running >> n - 1 & 1]
    flags = {"saturated": sample.saturated, "latched": sample.latched, "lost": sample.lost}
    return TraceLine(
        host_s=host_s,
        what="sample",
        board_ms=sample.board_ms,
        count=sample.count,
        counts=sample.counts,
        gross_g=None if calibration is None else round(calibration.grams(sample.counts), 4),
        running=" ".join(map(str, channels)),
        flags=" ".join(name for name, is_set in flags.items() if is_set),
    )


def trace_csv(lines: Iterable[TraceLine]) -> Iterator[str]:
    """A trace as CSV, header first."""
    yield _csv_row(field.name for field in fields(TraceLine))
    for line in lines:
        detail = None if line.detail is None else json.dumps(line.detail)
        yield _csv_row([*astuple(replace(line, detail=None))[:-1], detail])


async def history_lines(pours: PourRecords, query: PourQuery) -> AsyncIterator[HistoryLine]:
    """Every dose of every matching pour, newest pour first; the query's limit is ignored."""
    query = replace(query, limit=MAX_PAGE, after=None)
    while True:
        page = await pours.list(query)
        for pour in page.pours:
            for dose in pour.doses:
                yield _history_line(pour, dose)
        if page.older is None:
            return
        query = replace(query, before=page.older)


async def history_csv(pours: PourRecords, query: PourQuery) -> AsyncIterator[str]:
    """The same as CSV, header first."""
    yield _csv_row(field.name for field in fields(HistoryLine))
    async for line in history_lines(pours, query):
        yield _csv_row(astuple(line))


async def journal_lines(journal: Journal) -> AsyncIterator[str]:
    """Every entry as a JSON object in a line of its own, oldest first. `at` and `body` are texts as stored,
    so that the chain can be checked from the lines alone."""
    seq = 0
    while events := await journal.since(seq, MAX_PAGE):
        for event in events:
            stored = {"at": utc_text(event.at), "body": canonical(event.body)}
            yield json.dumps({**asdict(event), **stored}) + "\n"
        seq = events[-1].seq


def _history_line(pour: PourRecord, dose: DoseRecord) -> HistoryLine:
    over, end, found = pour.outcome, dose.outcome, pour.found_later
    final = pour.final_of(dose)
    return HistoryLine(
        pour_id=pour.id,
        created_at=pour.created_at.isoformat(),
        ended_at=over.ended_at.isoformat() if over else None,
        state=pour.state,
        cause=over.cause if over else None,
        origin=pour.origin,
        purpose=pour.purpose,
        recipe_id=pour.recipe.recipe_id if pour.recipe else None,
        recipe_name=pour.recipe.name if pour.recipe else None,
        dose=dose.index + 1,
        channel=dose.channel,
        liquid_id=dose.liquid_id,
        liquid_name=dose.liquid_name,
        density_g_per_ml=dose.density_g_per_ml,
        abv_percent=dose.abv_percent,
        target_g=dose.target_g,
        aimed_g=dose.poured_to_g,
        delivered_g=end.delivered_g if end else None,
        deviation_g=round(end.delivered_g - dose.poured_to_g, 6) if end else None,
        verdict=end.verdict.value if end and end.verdict else None,
        dose_cause=end.cause if end else None,
        found_later=found.certainty.value if found else None,
        found_later_g=found.found_g if found and (found.dose_index or 0) == dose.index else None,
        uncertainty_g=end.uncertainty_g if end else None,
        final_g=round(final.mass_g, 6) if final else None,
        final_uncertainty_g=final.uncertainty_g if final else None,
    )


def _csv_row(values: Iterable[Any]) -> str:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\r\n").writerow([_cell(value) for value in values])
    return buffer.getvalue()


def _cell(value: Any) -> Any:
    return "'" + value if isinstance(value, str) and value.startswith(_FORMULA_STARTS) else value
