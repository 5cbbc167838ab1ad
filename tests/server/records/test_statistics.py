"""Sums and errors over the history, compared with all pours counted in Python."""

import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random
from statistics import fmean
from typing import Any

import pytest
from sqlalchemy import Engine, event

from records_samples import COMPLETE, LIQUIDS, MACHINE, Clock, dose_ended, new_pour
from tarewell.dosing.events import Balanced, PourEnded
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import Agent, Purpose
from tarewell.dosing.tolerance import Verdict
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.pour_record import Certainty, FoundLater, PourRecord
from tarewell.menu.values import Bottle
from tarewell.records.local_days import bounds_of
from tarewell.records.statistics import DoseFilter, Period, Usage
from tarewell.records.store import Store
from tarewell.records.values import PourQuery
from tarewell.weighing.calibration import Calibration

VIENNA = "CET-1CEST,M3.5.0,M10.5.0/3"
"""POSIX rule of central European time, so that no zone files are needed."""

WATER = LIQUIDS[0].id


@pytest.fixture
def central_europe(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", VIENNA)
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
async def evening(store: Store, clock: Clock, central_europe: None) -> Store:
    """Pours from half past eight to past midnight, of two doses each, some of them out of tolerance."""
    noise = Random(4)
    for number in range(24):
        pour = await store.pours.begin(new_pour())
        errors = [noise.gauss(0.2, 0.4), noise.gauss(-0.1, 0.3) + (4.0 if number == 20 else 0.0)]
        doses = [
            replace(
                dose_ended(index, 40.0 + index + error_g),
                verdict=Verdict.OVER if error_g > 2 else Verdict.WITHIN,
            )
            for index, error_g in enumerate(errors)
        ]
        if number == 7:
            doses[1] = replace(doses[1], verdict=Verdict.UNDER, cause="stop", delivered_g=3.0)
        await store.pours.finish(pour.id, COMPLETE, doses, 251.3)
        clock.advance(600)
    return store


async def everything(store: Store) -> list[PourRecord]:
    """All pours, oldest first."""
    return list((await store.pours.list(PourQuery(limit=500))).pours)[::-1]


def errors_by(pours: list[PourRecord]) -> dict[tuple[str, int], list[float]]:
    """The errors of doses that ended at their target, by local day and channel."""
    found: dict[tuple[str, int], list[float]] = defaultdict(list)
    for pour in pours:
        for dose in pour.doses:
            if dose.outcome is not None and dose.outcome.cause == "target":
                day = f"{pour.created_at.astimezone():%Y-%m-%d}"
                found[day, dose.channel].append(dose.outcome.delivered_g - dose.poured_to_g)
    return found


async def test_doses_by_day_channel_and_liquid(evening: Store) -> None:
    expected = errors_by(await everything(evening))
    sums = await evening.statistics.doses(DoseFilter())
    assert {(found.day, found.channel) for found in sums} == set(expected)
    assert [found.day for found in sums] == ["2026-11-26"] * 2 + ["2026-11-25"] * 2
    for found in sums:
        errors = expected[found.day, found.channel]
        assert (found.doses, found.within + found.under + found.over) == (len(errors), len(errors))
        assert found.mean_error_g == pytest.approx(fmean(errors))
        assert (found.min_error_g, found.max_error_g) == pytest.approx((min(errors), max(errors)))
    (spoilt,) = [found for found in sums if found.over]
    assert (spoilt.day, spoilt.channel, spoilt.over) == ("2026-11-25", 3, 1)
    only = await evening.statistics.doses(DoseFilter(Period(*bounds_of(date(2026, 11, 25))), channel=1))
    assert [(found.day, found.channel) for found in only] == [("2026-11-25", 1)]


async def test_errors_with_limits_name_the_one_that_is_beyond(evening: Store) -> None:
    first, second = await evening.statistics.errors(DoseFilter())
    assert (first.channel, first.doses, first.beyond) == (1, 24, 0)
    assert (second.channel, second.doses, second.beyond) == (3, 23, 1)
    history = await evening.errors.of(3, second.liquid_id, Period(), 100)
    assert second.limits is not None
    outside = [dose for dose in history.doses if not second.limits.hold(dose.error_g)]
    assert [dose.verdict for dose in outside] == ["over"]
    assert [dose.at for dose in history.doses] == sorted(dose.at for dose in history.doses)
    assert (await evening.errors.of(3, second.liquid_id, Period(), 5)).doses == history.doses[-5:]
    (few,) = await evening.statistics.errors(DoseFilter(Period(until=history.doses[7].at), channel=3))
    assert (few.doses, few.limits, few.beyond) == (7, None, 0)


async def test_what_changed_meanwhile_is_named(store: Store, clock: Clock) -> None:
    async def pour(purpose: Purpose = Purpose.DRINK) -> str:
        clock.advance(60)
        begun = await store.pours.begin(new_pour(channels=(1,), purpose=purpose))
        await store.pours.finish(begun.id, COMPLETE, [dose_ended(0)], 251.3)
        await store.inflight.add(1, WATER, InFlight(0.3, 0.02, 8.25, 3), begun.id)
        clock.advance(60)
        return begun.id

    first = await pour()
    await store.bottles.put(Bottle("water-2", WATER, 700.0, 700.0, 70.0, 480.0))
    await store.bottles.swap(1, "water-2")
    clock.advance(60)
    await store.calibrations.add(Calibration(-84213.0, 2214.0), "two_point")
    await store.calibrations.add(Calibration(-84210.0, 2214.0), "zero")
    prime = await pour(Purpose.PRIME)
    await store.channels.assign(1, WATER, "another name")
    await pour()
    found = await store.errors.of(1, WATER, Period(), 100)
    assert [(change.kind, change.what) for change in found.changes] == [
        ("bottle", "water-2"),
        ("calibration", None),
        ("prime", prime),
        ("liquid", WATER),
    ]
    assert found.doses[0].pour_id == first
    assert [(lesson.lag_s, lesson.flow_g_per_s) for lesson in found.learned] == [(0.3, 8.25)] * 3
    newest = await store.errors.of(1, WATER, Period(), 1)
    assert all(change.at >= newest.doses[0].at for change in newest.changes)
    assert (await store.errors.of(3, WATER, Period(), 9)).doses == ()


async def test_use_and_waste_by_day_and_liquid(store: Store, clock: Clock, central_europe: None) -> None:
    water = LIQUIDS[0].serving_density.g_per_ml

    async def end(purpose: Purpose, ended: PourEnded, delivered_g: float, *entries: TraceEntry) -> str:
        new = new_pour(channels=(1,), purpose=purpose)
        if purpose is Purpose.FLUSH:
            plan = replace(new.setup.plan, agent=Agent.CLEANER)
            new = replace(new, setup=replace(new.setup, plan=plan))
        pour = await store.pours.begin(new)
        await store.pours.finish(pour.id, ended, [dose_ended(0, delivered_g)], 251.3, entries)
        return pour.id

    await end(Purpose.DRINK, COMPLETE, 40.0)
    await end(Purpose.PRIME, COMPLETE, 12.0)
    await end(Purpose.PURGE, COMPLETE, 30.0)
    await end(Purpose.FLUSH, COMPLETE, 200.0)
    spilt = TraceEntry(101.0, Balanced(0, 0.0, 5.0, 0.0))
    aborted = await end(Purpose.DRINK, PourEnded("aborted", "link_lost", 20.0), 20.0, spilt)
    await store.pours.add_found_later(FoundLater(aborted, Certainty.WEIGHED, 3.0, 0))
    doubtful = await end(Purpose.DRINK, COMPLETE, 40.0)
    await store.pours.add_found_later(FoundLater(doubtful, Certainty.DOUBTFUL, 9.0, 0, "touched"))
    clock.advance(86_400)
    cut_short = await store.pours.begin(new_pour(channels=(1,)))
    await store.pours.append_trace(cut_short.id, [TraceEntry(1.0, Balanced(0, 0.0, 0.0, 0.0))], 17.0)
    await store.pours.close_interrupted()
    later, today = await store.statistics.usage(Period())
    assert (today.day, today.liquid_id, later.day) == ("2026-11-25", WATER, "2026-11-26")
    expected = {
        "poured_ml": 80.0,
        "unfinished_ml": 20.0,
        "found_later_ml": 3.0,
        "primed_ml": 12.0,
        "purged_ml": 30.0,
        "spilt_ml": 5.0,
    }
    for name, mass_g in expected.items():
        assert getattr(today, name) == pytest.approx(mass_g / water), name
    assert today.flushed_g == 200.0
    assert later == Usage("2026-11-26", WATER, LIQUIDS[0].name, unfinished_ml=pytest.approx(17.0 / water))
    sums = await store.statistics.sums(PourQuery(until=clock.at - timedelta(hours=1)))
    assert (sums.pours, sums.drinks) == (6, 3)
    assert sums.delivered_g == pytest.approx(103.0)
    assert sums.delivered_ml == pytest.approx(103.0 / water)
    assert (await store.journal.verify()).intact


async def test_sums_of_what_the_filters_find(evening: Store) -> None:
    day = PourQuery(*bounds_of(date(2026, 11, 25)))
    sums = await evening.statistics.sums(day)
    pours = [pour for pour in await everything(evening) if pour.created_at.astimezone().day == 25]
    assert 0 < sums.pours == len(pours) < 24
    assert sums.delivered_g == pytest.approx(
        sum(dose.outcome.delivered_g for pour in pours for dose in pour.doses if dose.outcome)
    )
    assert (await evening.statistics.sums(PourQuery())).out_of_tolerance == 2
    assert (await evening.statistics.sums(PourQuery(out_of_tolerance=False))).pours == 22
    assert (await evening.statistics.sums(PourQuery(channel=8))) == replace(
        sums, pours=0, drinks=0, delivered_g=0.0, delivered_ml=0.0, out_of_tolerance=0
    )


@pytest.mark.usefixtures("central_europe")
@pytest.mark.parametrize(
    ("day", "begin", "hours"),
    [
        # summer time in central Europe: from 2026-03-29 to 2026-10-25 (Directive 2000/84/EC)
        (date(2026, 1, 15), datetime(2026, 1, 14, 23, tzinfo=UTC), 24),
        (date(2026, 3, 29), datetime(2026, 3, 28, 23, tzinfo=UTC), 23),
        (date(2026, 7, 1), datetime(2026, 6, 30, 22, tzinfo=UTC), 24),
        (date(2026, 10, 25), datetime(2026, 10, 24, 22, tzinfo=UTC), 25),
    ],
)
def test_a_day_lasts_from_midnight_to_midnight(day: date, begin: datetime, hours: int) -> None:
    assert bounds_of(day) == (begin, begin + timedelta(hours=hours))


def many_pours(store: Store, count: int) -> None:
    """Pours of two doses, one every two minutes, written as rows."""
    assert store.writer is not None
    rows = [
        (f"{number:036}", f"{START + timedelta(minutes=2 * number):%Y-%m-%dT%H:%M:%S.%fZ}")
        for number in range(count)
    ]
    doses = [(pour_id, index, (1, 3)[index], LIQUIDS[index].id) for pour_id, _ in rows for index in (0, 1)]
    with store._database._engine.begin() as connection:
        run = connection.connection.executemany  # type: ignore[attr-defined]
        run(
            f"INSERT INTO pour VALUES (?, '{MACHINE}', ?, NULL, NULL, '{{}}', 'api', '0.1.0', NULL, NULL, "
            "'drink', NULL)",
            rows,
        )
        run(f"INSERT INTO dose VALUES (?, ?, '{MACHINE}', ?, ?, '', 1.0, NULL, 40.0)", doses)
        run(
            f"INSERT INTO pour_outcome VALUES (?, '{MACHINE}', ?, 'complete', 'target', 80.0, 251.3, 0.1)",
            rows,
        )
        run(
            f"INSERT INTO dose_outcome VALUES (?, ?, '{MACHINE}', 40.2, 2.4, 8.3, 0, 1, 2, 3, 'within', "
            "'target', NULL, 0.1)",
            [dose[:2] for dose in doses],
        )


START = datetime(2026, 1, 1, tzinfo=UTC)


async def test_a_day_of_a_long_history_is_found_by_indexes(store: Store) -> None:
    """No query for a day reads the whole of a table that grows with every pour."""
    many_pours(store, 50)
    period = Period(*bounds_of(date(2026, 1, 1)))
    asked: list[tuple[str, Any]] = []

    @event.listens_for(Engine, "before_cursor_execute")
    def note(_c: Any, _cursor: Any, statement: str, parameters: Any, _x: Any, _many: bool) -> None:
        asked.append((statement, parameters))

    try:
        assert (await store.statistics.sums(PourQuery(period.since, period.until))).pours > 0
        await store.statistics.usage(period)
        await store.statistics.doses(DoseFilter(period))
        await store.statistics.errors(DoseFilter(period))
        await store.errors.of(1, WATER, period, 50)
    finally:
        event.remove(Engine, "before_cursor_execute", note)
    queries = [(text, parameters) for text, parameters in asked if text.startswith(("SELECT", "WITH"))]
    assert len(queries) > 8
    with store._database._engine.begin() as connection:
        for text, parameters in queries:
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {text}", parameters).all()
            scans = [
                step[-1]
                for step in plan
                if step[-1].split()[:2]
                in [["SCAN", name] for name in ("pour", "dose", "dose_outcome", "pour_outcome", "event")]
                and "USING" not in step[-1]
            ]
            assert scans == [], text
