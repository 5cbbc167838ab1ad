"""Databases of every revision of the schema, each with rows in all of its tables, as SQL beside the tests.

The program itself writes the one of the newest revision: `make generated` runs this file. It is never
rewritten, since it represents the databases of users.
"""

import asyncio
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from alembic.config import Config
from alembic.script import ScriptDirectory

from records_samples import CALIBRATION, COMPLETE, MACHINE, VERSION, Clock, dose_ended, trace
from tarewell.dosing.drips import Dripped
from tarewell.dosing.events import Balanced, PourEnded
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PourPlan, Purpose
from tarewell.dosing.setup import DosingSettings, PourSetup
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.pour_record import Certainty, FoundLater, NewPour, RecipeNote
from tarewell.machine.round_record import NewRelease, NewRound
from tarewell.quantities.units import SmallMeasures
from tarewell.records.order_values import NewOrder, OrderRecord
from tarewell.records.recordings import add_recording
from tarewell.records.revision import migrations_dir
from tarewell.records.store import Store
from tarewell.records.tables import APPLICATION_ID
from tarewell.rounds.attempt import held_by
from tarewell.rounds.events import Ending, GlassEnded
from tarewell.rounds.feasible import Wanted, feasible
from tarewell.rounds.plan import OrderMark, RoundPlan
from tarewell.rounds.serving import Serving
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.exchange import apply_import, plan_import

FOLDER = Path(__file__).parents[1] / "server" / "records"
SMALL = SmallMeasures()
SEAT = "seat 14"


def scripts_in(migrations: Path) -> ScriptDirectory:
    """The migrations in a folder, as Alembic sees them."""
    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    return ScriptDirectory.from_config(config)


def revisions(migrations: Path | None = None) -> list[str]:
    """The revisions of the schema, oldest first."""
    scripts = scripts_in(migrations or migrations_dir())
    return [script.revision for script in scripts.walk_revisions()][::-1]


def sample(revision: str) -> Path:
    """The SQL file of a revision's database."""
    return FOLDER / f"database_{revision}.sql"


def restore(revision: str, path: Path) -> Path:
    """Make the database file of a revision."""
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(sample(revision).read_text("utf-8"))
    return path


async def fill(path: Path) -> None:
    """Make a database of the newest revision with rows in every table.

    The interval bar, calibrated, with an order, a round of two that dripped, a channel primed, a pour that
    was aborted and weighed later, and one that spilt and was cut short.
    """
    clock = Clock()
    store = await Store.open(path, MACHINE, VERSION, clock)
    await apply_import(store, await plan_import(store, INTERVAL_BAR.read_text("utf-8"), SMALL))
    await store.calibrations.add(CALIBRATION, "two_point")
    await _round_of_two(store, clock)
    prime = await _begin(store, PourPlan((DosePlan(2, "footlight-spirit", 15.0),), purpose=Purpose.PRIME))
    await store.pours.finish(prime, COMPLETE, [dose_ended(0, 12.5)], None, trace(0.1))
    clock.advance(60)
    aborted = await _begin(store, PourPlan((DosePlan(1, "house-water", 80.0),)))
    ended = PourEnded("aborted", "link_lost", 26.25)
    await store.pours.finish(aborted, ended, [replace(dose_ended(0, 26.25), verdict=None)], 251.3, trace(0.1))
    await store.pours.add_found_later(FoundLater(aborted, Certainty.WEIGHED, 2.75, 0))
    clock.advance(60)
    cut_short = await _begin(store, PourPlan((DosePlan(1, "house-water", 80.0),)))
    await store.pours.append_trace(cut_short, trace(0.1), 10.5)
    await store.pours.append_trace(cut_short, [TraceEntry(101.0, Balanced(0, 0.0, 1.5, 0.25))], 10.5)
    if store.writer is None:
        raise RuntimeError("the store was opened for reading alone")
    await store.writer.write(add_recording, "link_lost", cut_short, 4110.0, 4120.0, 4130.0, b"\1")
    await store.close()


async def _round_of_two(store: Store, clock: Clock) -> None:
    menu = await store.menu(5000.0, DosingSettings())
    order = await _order(store)
    mark = OrderMark(order.id, order.number)
    wanted = [Wanted("green-room-cooler", guest=SEAT, order=mark), Wanted("second-bell")]
    plan = RoundPlan(feasible(menu, wanted, SMALL).glasses, menu.liquids, menu.glasses)
    round_ = await store.rounds.begin(NewRound(plan, "api", "key-1", "print-1"))
    await store.rounds.release(NewRelease(SEAT, round_.id, 0, "the host", "shares it with seat 15"))
    cooler = plan.glasses[0]
    serving = str(Serving(round_.id, 0, 0, 1))
    note = RecipeNote("green-room-cooler", cooler.drink.name, cooler.drink.glass_id, serving)
    pour_id = await _begin(store, cooler.pour_plan(1), note)
    clock.advance(30)
    doses = [
        replace(dose_ended(index, dose.target_g), uncertainty_g=0.085)
        for index, dose in enumerate(cooler.drink.doses)
    ]
    await store.pours.finish(pour_id, replace(COMPLETE, uncertainty_g=0.09), doses, 246.0, trace(0.1))
    await store.pours.add_late_drips(pour_id, Dripped(len(doses) - 1, 0.125, 0.055, 0.06))
    taught = InFlight(0.3, 0.02, 8.25, 1).with_share(100, 0.39).with_lacks([(0.45, -0.02)])
    await store.inflight.add(1, "house-water", taught, pour_id)
    held = held_by(cooler, [dose.delivered_g for dose in doses], cooler.hands, plan.liquids)
    await store.rounds.end_glass(round_.id, GlassEnded(0, 0, Ending.COMPLETE, (pour_id,), held))
    nothing = held_by(plan.glasses[1], (), (), plan.liquids)
    await store.rounds.end_glass(round_.id, GlassEnded(1, 0, Ending.SKIPPED, (), nothing))
    await store.rounds.finish(round_.id, "complete")


async def _order(store: Store) -> OrderRecord:
    await store.orders.open_service("The Paper Lantern, second night", guests_may_order=True)
    await store.orders.make_link()
    wanted = Wanted("green-room-cooler", guest=SEAT)
    new = NewOrder(wanted, "Green Room Cooler", 0.0, True, 31.4, 2.5, "guest", "key-2", "print-2")
    return await store.orders.place(new)


async def _begin(store: Store, plan: PourPlan, recipe: RecipeNote | None = None) -> str:
    setup = PourSetup(plan, CALIBRATION, known={1: InFlight(0.31, 0.02, 8.25, 12)})
    return (await store.pours.begin(NewPour(setup, "api", recipe=recipe))).id


def as_sql(path: Path) -> str:
    """A database as the SQL that recreates it."""
    with closing(sqlite3.connect(path)) as connection:
        lines = list(connection.iterdump())
    return "\n".join([*lines, f"PRAGMA application_id = {APPLICATION_ID:#x};"]) + "\n"


def keep_newest() -> None:
    """Write a database of the newest revision, unless there is one."""
    kept = sample(revisions()[-1])
    if kept.exists():
        return
    with TemporaryDirectory() as folder:
        path = Path(folder) / "bar.sqlite"
        asyncio.run(fill(path))
        kept.write_text(as_sql(path), "utf-8")


if __name__ == "__main__":
    keep_newest()
