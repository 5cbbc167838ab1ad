"""Tables for people: a trace line by line, the history dose by dose."""

import csv
import io
from dataclasses import replace

import pytest

from records_samples import CALIBRATION, COMPLETE, LIQUIDS, Clock, dose_ended, new_pour
from tarewell.dosing.events import DoseEnded, PourEnded, PourStateChanged, RunPump, Weighed
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.pour_record import Certainty, FoundLater, RecipeNote
from tarewell.records.exports import history_csv, history_lines, trace_csv, trace_lines
from tarewell.records.store import Store
from tarewell.records.values import PourQuery
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Direction, Run, Sample

ENTRIES = [
    TraceEntry(10.0, PourStateChanged("coarse_feed")),
    TraceEntry(10.001, RunPump(Run(1, Direction.FORWARD, 255, 400, 1203941, 15000))),
    TraceEntry(10.0125, Weighed(Sample(1834023, 4711, 3000, 0b101))),
    TraceEntry(10.025, Weighed(Sample(1834035, 4712, -500, 0, True, False, True))),
]
HALF_GRAM = Calibration(zero_counts=1000.0, counts_per_g=500.0)


def test_a_trace_as_csv() -> None:
    text = "".join(trace_csv(trace_lines(ENTRIES, HALF_GRAM)))
    assert text.splitlines()[0] == "host_s,what,board_ms,count,counts,gross_g,running,flags,detail"
    state, run, first, second = csv.DictReader(io.StringIO(text))
    assert (state["host_s"], state["what"], state["detail"]) == (
        "10.0",
        "StateChanged",
        '{"state": "coarse_feed"}',
    )
    assert (run["what"], run["counts"]) == ("RunPump", "")
    assert '"ceiling_counts": 1203941' in run["detail"]
    assert first == {
        "host_s": "10.0125",
        "what": "sample",
        "board_ms": "1834023",
        "count": "4711",
        "counts": "3000",
        "gross_g": "4.0",
        "running": "1 3",
        "flags": "",
        "detail": "",
    }
    assert (second["gross_g"], second["running"], second["flags"]) == ("-3.0", "", "saturated lost")
    assert text.count("\r\n") == 5


async def test_the_history_has_a_line_for_each_dose(store: Store, clock: Clock) -> None:
    done = await store.pours.begin(new_pour(recipe=RecipeNote("second-bell", "=Second Bell")))
    clock.advance(31)
    sure = replace(dose_ended(0, 40.2), uncertainty_g=0.08)
    doses: list[DoseEnded] = [sure, replace(dose_ended(1, 39.5), verdict=None, target_g=40.5)]
    await store.pours.finish(done.id, COMPLETE, doses, 251.3)
    running = await store.pours.begin(new_pour(channels=(1,)))
    text = "".join([line async for line in history_csv(store.pours, PourQuery(limit=1))])
    newest, first, second = csv.DictReader(io.StringIO(text))
    assert (newest["pour_id"], newest["state"], newest["ended_at"], newest["delivered_g"]) == (
        running.id,
        "open",
        "",
        "",
    )
    assert first == {
        "pour_id": done.id,
        "created_at": "2026-11-25T19:30:00+00:00",
        "ended_at": "2026-11-25T19:30:31+00:00",
        "state": "complete",
        "cause": "target",
        "origin": "api",
        "purpose": "drink",
        "recipe_id": "second-bell",
        "recipe_name": "'=Second Bell",
        "dose": "1",
        "channel": "1",
        "liquid_id": "elderflower",
        "liquid_name": "Elderflower water",
        "density_g_per_ml": "1.02",
        "abv_percent": "",
        "target_g": "40.0",
        "aimed_g": "40.0",
        "delivered_g": "40.2",
        "deviation_g": "0.2",
        "verdict": "within",
        "dose_cause": "target",
        "found_later": "",
        "found_later_g": "",
        "uncertainty_g": "0.08",
        "final_g": "40.2",
        "final_uncertainty_g": "0.08",
    }
    assert (second["dose"], second["abv_percent"], second["deviation_g"]) == ("2", "24.0", "-1.0")
    assert (second["target_g"], second["aimed_g"], newest["recipe_id"]) == ("41.0", "40.5", "")
    assert second["verdict"] == ""


@pytest.mark.parametrize(("dose", "on"), [(1, 1), (None, 0)])
async def test_what_was_found_later_is_on_the_line_of_its_dose(
    store: Store, dose: int | None, on: int
) -> None:
    pour = await store.pours.begin(new_pour())
    await store.pours.finish(pour.id, PourEnded("aborted", "abort", 45.0), [dose_ended(0, 40.2)], 251.3)
    await store.pours.add_found_later(FoundLater(pour.id, Certainty.WEIGHED, 2.5, dose))
    text = "".join([line async for line in history_csv(store.pours, PourQuery())])
    lines = list(csv.DictReader(io.StringIO(text)))
    assert [line["found_later"] for line in lines] == ["weighed", "weighed"]
    assert [line["found_later_g"] for line in lines] == ["2.5" if at == on else "" for at in (0, 1)]


async def test_the_history_follows_all_pages(store: Store, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr("tarewell.records.exports.MAX_PAGE", 2)
    await store.channels.assign(2, LIQUIDS[0].id, "middle")
    ids = [(await store.pours.begin(new_pour(channels=(channel,)))).id for channel in (1, 2, 1, 1, 2, 1, 1)]
    lines = [line async for line in history_lines(store.pours, PourQuery(channel=1))]
    assert [line.pour_id for line in lines] == [ids[number] for number in (6, 5, 3, 2, 0)]


async def test_a_name_is_never_a_formula(store: Store) -> None:
    sly = replace(LIQUIDS[0], name='=HYPERLINK("x")')
    await store.liquids.put(sly)
    await store.pours.begin(new_pour(channels=(1,)))
    (_, line) = [line async for line in history_csv(store.pours, PourQuery())]
    assert "'=HYPERLINK" in line
    (row,) = list(csv.reader([line]))
    assert not any(cell.startswith("=") for cell in row)


def test_a_negative_mass_stays_a_number() -> None:
    (_, line) = trace_csv(trace_lines([ENTRIES[3]], CALIBRATION))
    assert "'" not in line
