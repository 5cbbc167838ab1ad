"""Imports in a child: what comes of one, how many at once, and for how long."""

import asyncio
from pathlib import Path

import pytest

from empty_database import copy_empty
from tarewell.api import importing
from tarewell.api.importing import ChildImporter
from tarewell.api.problems import ProblemError
from tarewell.menu.values import Liquid
from tarewell.quantities.density import of_water
from tarewell.quantities.units import SmallMeasures
from tarewell.records.store import Store
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.reading import MAX_LISTED, SetupFaultsError


@pytest.fixture
async def importer(tmp_path: Path) -> ChildImporter:
    """Over a database that has one liquid."""
    store = await Store.open(copy_empty(tmp_path / "bar.db"), "interval-bar", "0.1.0")
    await store.liquids.put(Liquid("foyer-fizz", "Foyer Fizz", of_water()))
    await store.close()
    return ChildImporter(tmp_path / "bar.db", SmallMeasures())


async def test_a_child_says_what_a_file_would_change(importer: ChildImporter) -> None:
    plan = await importer.plan(INTERVAL_BAR.read_text("utf-8"))
    assert {change.what for change in plan.changes} == {"liquid", "glass", "recipe", "channel", "bottle"}
    assert plan.changes[0].change.before is None


async def test_faults_come_back_with_their_lines(importer: ChildImporter) -> None:
    with pytest.raises(SetupFaultsError) as refused:
        await importer.plan('format = 1\n[liquids.fizz]\nname = "Fizz"\n')
    (fault,) = refused.value.faults
    assert (fault.line, fault.pointer) == (2, "/liquids/fizz/density_g_per_ml")


async def test_of_thousands_of_faults_the_first_come_back_with_their_number(importer: ChildImporter) -> None:
    text = "format = 1\n" + "".join(f"[liquids.L_{number}]\n" for number in range(MAX_LISTED))
    with pytest.raises(SetupFaultsError, match=f"{MAX_LISTED} are listed") as refused:
        await importer.plan(text)
    assert refused.value.count > len(refused.value.faults) == MAX_LISTED
    assert refused.value.faults[0].line == 2


async def test_one_at_a_time_and_two_that_wait(
    importer: ChildImporter, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_work, most, go_on = 0, 0, asyncio.Event()

    async def plan(self: ChildImporter, text: str) -> str:
        nonlocal at_work, most
        at_work, most = at_work + 1, max(most, at_work + 1)
        await go_on.wait()
        at_work -= 1
        return text

    monkeypatch.setattr(ChildImporter, "_plan", plan)
    taken = [asyncio.create_task(importer.plan(str(number))) for number in range(3)]
    await asyncio.sleep(0)
    with pytest.raises(ProblemError) as refused:
        await importer.plan("one too many")
    assert refused.value.kind.status == 503
    assert refused.value.headers is not None
    assert int(refused.value.headers["Retry-After"]) > 0
    go_on.set()
    assert await asyncio.gather(*taken) == ["0", "1", "2"]
    assert most == 1


async def test_a_file_that_takes_too_long_is_refused_and_its_child_ended(
    importer: ChildImporter, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importing, "WITHIN_S", 0.0)
    with pytest.raises(ProblemError, match="import it in parts"):
        await importer.plan(INTERVAL_BAR.read_text("utf-8"))
    monkeypatch.undo()
    assert (await importer.plan(INTERVAL_BAR.read_text("utf-8"))).changes
