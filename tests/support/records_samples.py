"""Values for tests of the records: the interval bar of a small theatre, with invented drinks."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from empty_database import copy_empty
from tarewell.dosing.events import (
    DoseBegan,
    DoseEnded,
    PourCommand,
    PourCommanded,
    PourEnded,
    PourStateChanged,
    RenewLease,
    RunPump,
    Tared,
    Weighed,
)
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.plan import DosePlan, PourPlan, Purpose
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.tolerance import Verdict
from tarewell.dosing.traces import TraceEntry
from tarewell.machine.pour_record import NewPour, RecipeNote
from tarewell.menu.allergens import Allergen
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import entered
from tarewell.quantities.units import Amount, AmountKind
from tarewell.records.store import Store
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Direction, Run, Sample

MACHINE = "foyer-bar"
VERSION = "0.1.0"
CALIBRATION = Calibration(zero_counts=-84213.4, counts_per_g=1998.25)

LIQUIDS = (
    Liquid("elderflower", "Elderflower water", entered(1.02)),
    Liquid(
        "act-two-bitter",
        "Act Two bitter",
        entered(0.985),
        abv_percent=24.0,
        allergens=frozenset({Allergen.NUTS}),
        note="from the theatre's own recipe",
    ),
)

GLASS = Glass("foyer-tumbler", "Foyer tumbler", 320.0, 20.0, 180.0, 230.0)
RECIPE = Recipe(
    "second-bell",
    "Second Bell",
    (
        HandStep(Hand.ICE, "three cubes", ice_g=60.0),
        RecipeDose("act-two-bitter", "1.5 oz", Amount(44.36, AmountKind.VOLUME_ML)),
        RecipeDose("elderflower", "2 parts", Amount(2.0, AmountKind.PARTS)),
        HandStep(Hand.TOP_UP, "with still water", text="1 part", amount=Amount(1.0, AmountKind.PARTS)),
        HandStep(Hand.GARNISH, "a leaf of mint"),
    ),
    glass_id="foyer-tumbler",
    note="served before the interval",
)
BOTTLE = Bottle("elderflower-1", "elderflower", content_g=700.0, full_g=714.0, low_g=70.0, tare_g=480.0)


class Clock:
    """A UTC clock that only moves with `advance`."""

    def __init__(self, at: datetime = datetime(2026, 11, 25, 19, 30, tzinfo=UTC)) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at

    def advance(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


async def set_up(store: Store, *channels: int) -> None:
    """Glass, recipe, and on each of these channels a full bottle, the liquids in turn."""
    await store.glasses.put(GLASS)
    await store.recipes.put(RECIPE)
    for index, channel in enumerate(channels):
        liquid = LIQUIDS[index % 2]
        await store.channels.assign(channel, liquid.id, f"place {channel}")
        await store.bottles.put(Bottle(f"on-{channel}", liquid.id, 700.0, 700.0, 70.0, 480.0, channel))


async def open_store(path: Path, clock: Clock | None = None, assigned: bool = True) -> Store:
    """A store with the liquids above, by default each on a channel.

    The channels are written without the journal, so that tests can count their own events.
    """
    if not path.exists():
        copy_empty(path)
    store = await Store.open(path, MACHINE, VERSION, clock or Clock(), retry_s=0.0)
    for liquid in LIQUIDS:
        await store.liquids.put(liquid)
    if assigned:
        rows = [(number, MACHINE, liquid.id, "") for number, liquid in zip((1, 3), LIQUIDS, strict=True)]
        with closing(sqlite3.connect(path)) as connection, connection:
            connection.executemany(
                "INSERT OR IGNORE INTO channel (number, machine_id, liquid_id, name) VALUES (?, ?, ?, ?)",
                rows,
            )
    return store


def new_pour(
    key: str | None = None,
    fingerprint: str | None = None,
    channels: tuple[int, ...] = (1, 3),
    purpose: Purpose = Purpose.DRINK,
    recipe: RecipeNote | None = None,
) -> NewPour:
    """One dose per channel, of 40 g, 41 g and so on; the liquids in turn."""
    plan = PourPlan(
        tuple(DosePlan(number, LIQUIDS[index % 2].id, 40.0 + index) for index, number in enumerate(channels)),
        300.0,
        purpose=purpose,
    )
    setup = PourSetup(plan, CALIBRATION, known={1: InFlight(0.31, 0.02, 8.25, 12)})
    return NewPour(setup, "api", key, fingerprint, "foyer-01", "0.1.0", recipe)


def dose_ended(index: int, delivered_g: float = 40.2) -> DoseEnded:
    """A dose that went well."""
    return DoseEnded(index, delivered_g, 2.4, 8.3, 1, 100.0 + index, 105.5, 107.25, Verdict.WITHIN, "target")


COMPLETE = PourEnded("complete", "target", 81.3)


def trace(seconds: float = 1.0, start_s: float = 100.0) -> list[TraceEntry]:
    """Start, tare, and a dose of steady flow at 80 samples/s with noise of the usual size."""
    run = Run(1, Direction.FORWARD, 255, 400, 1203941, 15000)
    entries = [
        TraceEntry(start_s, PourCommanded(PourCommand.START)),
        TraceEntry(start_s, PourStateChanged("coarse_feed")),
        TraceEntry(start_s + 0.001, Tared(251.3)),
        TraceEntry(start_s + 0.001, DoseBegan(0, 2.4)),
        TraceEntry(start_s + 0.002, RunPump(run)),
    ]
    noise = Random(1)
    for number in range(round(80 * seconds)):
        at_s = start_s + 0.01 + number * 0.0125 + noise.uniform(0, 0.001)
        counts = 418000 + 207 * number + round(noise.gauss(0, 60))
        sample = Sample(1834023 + 25 * number // 2, 4711 + number, counts, 1)
        entries.append(TraceEntry(at_s, Weighed(sample)))
        if number % 8 == 0:
            entries.append(TraceEntry(at_s, RenewLease(400)))
    return entries
