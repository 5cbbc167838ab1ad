"""Changes asked for in one process and carried out by the writer of another, over a real socket and file."""

import asyncio
import json
import socket
import threading
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from records_samples import BOTTLE, GLASS, LIQUIDS, RECIPE, new_pour, set_up
from tarewell.exchange.changes import RemoteWrites, serve_changes
from tarewell.exchange.refusals import MachineFaultError
from tarewell.machine.requests import NotAnsweredError
from tarewell.menu.values import Bottle, Movement
from tarewell.orders.states import OrderEvent, OrderEventKind, OrderState, UnexpectedOrderEvent
from tarewell.records.engine import Database
from tarewell.records.errors import (
    BarClosedError,
    ChangedMeanwhileError,
    DiskFullError,
    FaultyError,
    InUseError,
    UnknownRecordError,
)
from tarewell.records.order_values import NewOrder
from tarewell.records.pour_changes import begin_pour
from tarewell.records.store import Store
from tarewell.records.values import Change, Channel
from tarewell.rounds.feasible import Wanted

WATER, BITTER = LIQUIDS
ORDER = NewOrder(
    Wanted(RECIPE.id, guest="F12"), RECIPE.name, 7.9, True, None, 6.5, "guest", "tap-1", "print-1"
)


@dataclass
class Far:
    """The front's store; `machine` is the other process's, over the same file."""

    store: Store
    machine: Store
    writes: RemoteWrites
    ours: socket.socket
    theirs: socket.socket
    thread: threading.Thread
    lost: list[str] = field(default_factory=list)


@pytest.fixture
async def far(store: Store, tmp_path: Path) -> AsyncIterator[Far]:
    assert store.writer is not None
    theirs, ours = socket.socketpair()
    lost: list[str] = []
    thread = serve_changes(theirs, store.writer)
    writes = RemoteWrites(ours, lambda: lost.append("lost"))
    front = Store.beside(tmp_path / "bar.sqlite", writes)
    yield Far(front, store, writes, ours, theirs, thread, lost)
    await front.close()
    ours.shutdown(socket.SHUT_RDWR)
    ours.close()
    await asyncio.to_thread(thread.join, 5)
    assert not thread.is_alive()


async def test_what_is_put_there_is_in_the_records_here(far: Far) -> None:
    changed = replace(WATER, note='grün, "kalt"', cost_per_l=2.4)
    assert await far.store.liquids.put(changed, expected=WATER) == changed
    assert await far.machine.liquids.get(WATER.id) == changed
    await set_up(far.store)
    await far.store.recipes.retire(RECIPE.id, expected=RECIPE)
    await far.store.glasses.retire(GLASS.id)
    assert await far.machine.recipes.all() == []
    assert (await far.machine.glasses.get(GLASS.id)).active is False
    assert await far.store.channels.assign(2, BITTER.id, "second", expected=None) == Channel(
        2, BITTER.id, "second"
    )
    assert (await far.machine.journal.verify()).intact


async def test_every_change_of_a_bottle_gives_the_bottle_as_it_is_then(far: Far) -> None:
    bottles = far.store.bottles
    steps: list[tuple[Callable[[], Any], Bottle]] = [
        (lambda: bottles.put(BOTTLE, expected=None), BOTTLE),
        (lambda: bottles.mount(BOTTLE.id, 1), replace(BOTTLE, channel=1)),
        (lambda: bottles.weigh(BOTTLE.id, 980.0), replace(BOTTLE, channel=1, content_g=500.0)),
        (lambda: bottles.correct(BOTTLE.id, 400.0), replace(BOTTLE, channel=1, content_g=400.0)),
        (lambda: bottles.unmount(BOTTLE.id), replace(BOTTLE, content_g=400.0)),
        (lambda: bottles.swap(1, BOTTLE.id), replace(BOTTLE, channel=1, content_g=400.0)),
        (lambda: bottles.discard(BOTTLE.id), replace(BOTTLE, content_g=0.0)),
    ]
    for change, expected in steps:
        now = await change()
        assert replace(now, opened_at=None) == expected
        assert await far.machine.bottles.get(BOTTLE.id) == now
    kinds = {line.kind for line in await far.store.bottles.movements(BOTTLE.id)}
    assert kinds >= {Movement.CORRECTION}


async def test_an_order_goes_there_and_comes_back_as_it_stands(far: Far) -> None:
    await set_up(far.store)
    orders = far.store.orders
    with pytest.raises(BarClosedError, match="no service is open"):
        await orders.place(ORDER)
    await orders.open_service("Second night", guests_may_order=True)
    placed = await orders.place(ORDER)
    assert placed == await far.machine.orders.get(placed.id)
    assert (await orders.place(ORDER)) == replace(placed, replayed=True)
    sent = await orders.change(placed.id, OrderEvent(OrderEventKind.SEND_BACK, "it is late"))
    assert (sent.standing.state, sent.standing.reason) == (OrderState.SENT_BACK, "it is late")
    with pytest.raises(UnexpectedOrderEvent) as refused:
        await orders.change(placed.id, OrderEvent(OrderEventKind.LATER))
    assert refused.value.state is OrderState.SENT_BACK
    link = await orders.make_link()
    assert link.link_key is not None
    assert await far.machine.orders.admits(link.link_key)
    assert (await orders.close_service()).link_key is None


async def test_a_set_up_of_many_changes_is_one_transaction(far: Far) -> None:
    many = [Change(None, replace(GLASS, id=f"glass-{n}", name=f"Glass {n}")) for n in range(300)]
    parts = (GLASS, RECIPE, Channel(2, BITTER.id, "right"), replace(BOTTLE, channel=1))
    before = await far.machine.journal.last_seq()
    with pytest.raises(UnknownRecordError, match="greasepaint"):
        await far.store.apply([*many, Change(None, Channel(7, "greasepaint", ""))])
    assert await far.machine.journal.last_seq() == before
    await far.store.apply([*many, *(Change(None, part) for part in parts), Change(WATER, WATER)])
    assert len(await far.machine.glasses.all()) == 301
    assert await far.machine.recipes.get(RECIPE.id) == RECIPE
    assert (await far.machine.bottles.get(BOTTLE.id)).channel == 1
    await far.store.apply([])
    assert far.lost == []


async def test_a_refusal_comes_with_its_type_words_and_fields(far: Far) -> None:
    with pytest.raises(FaultyError) as faulty:
        await far.store.glasses.put(replace(GLASS, brim_ml=-1.0, name="\n"))
    with pytest.raises(FaultyError) as here:
        await far.machine.glasses.put(replace(GLASS, brim_ml=-1.0, name="\n"))
    assert faulty.value.faults == here.value.faults
    assert str(faulty.value) == str(here.value)
    with pytest.raises(ChangedMeanwhileError, match="read it again"):
        await far.store.liquids.put(WATER, expected=replace(WATER, note="older"))
    with pytest.raises(InUseError, match="channel 1"):
        await far.store.liquids.retire(WATER.id)
    with pytest.raises(ValueError, match="1 to 8"):
        await far.store.channels.assign(9, None, "")
    with pytest.raises(UnknownRecordError, match="no bottle"):
        await far.store.bottles.weigh("none", 900.0)
    assert await far.store.glasses.all() == []


async def test_what_only_the_machine_may_write_is_refused(far: Far) -> None:
    before = await far.machine.journal.last_seq()
    with pytest.raises(MachineFaultError, match="no change 'begin_pour'"):
        await far.writes.write(begin_pour, new_pour())
    assert await far.machine.journal.last_seq() == before
    await far.store.liquids.put(replace(WATER, note="new"))


async def test_records_that_cannot_be_written_are_told_in_the_front(
    far: Far, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> Any:
        raise DiskFullError("the disk is full")

    with monkeypatch.context() as disk:
        disk.setattr(Database, "write", full)
        with pytest.raises(DiskFullError, match="the disk is full"):
            await far.store.liquids.put(replace(WATER, note="new"))
    await far.store.liquids.put(replace(WATER, note="newer"))


async def test_many_at_once_each_get_their_own_answer(far: Far) -> None:
    bottles = [replace(BOTTLE, id=f"bottle-{n}", content_g=float(n)) for n in range(1, 20)]
    answers = await asyncio.gather(*map(far.store.bottles.put, bottles))
    assert list(answers) == bottles


async def test_a_caller_that_goes_away_does_not_mix_its_change_with_the_next_one(
    store: Store, tmp_path: Path
) -> None:
    """The far end reads only when both have been asked for, so the first does not fit the socket yet."""
    assert store.writer is not None
    theirs, ours = socket.socketpair()
    front = Store.beside(tmp_path / "bar.sqlite", RemoteWrites(ours, lambda: None))
    names = [f"glass-{number}" for number in range(400)]
    many = [Change(None, replace(GLASS, id=name)) for name in names]
    liquids = [replace(WATER, id=f"liquid-{number}", note=1000 * "x") for number in range(400)]
    left = asyncio.ensure_future(front.apply([*(Change(None, liquid) for liquid in liquids), *many]))
    await asyncio.sleep(0.05)
    left.cancel()
    await asyncio.wait({left})
    stays = asyncio.ensure_future(front.bottles.put(BOTTLE))
    await asyncio.sleep(0.05)  # long enough for a second exchange to begin beside the first, if it may
    thread = serve_changes(theirs, store.writer)
    async with asyncio.timeout(10):
        assert (await stays).id == BOTTLE.id
    assert len(await store.glasses.all()) == 400
    await front.close()
    ours.shutdown(socket.SHUT_RDWR)
    ours.close()
    await asyncio.to_thread(thread.join, 5)


async def test_without_the_far_end_it_is_said_and_told_once(far: Far) -> None:
    far.theirs.shutdown(socket.SHUT_RDWR)
    await asyncio.to_thread(far.thread.join, 5)
    for _ in range(2):
        with pytest.raises(NotAnsweredError, match="check whether it was done"):
            await far.store.liquids.put(replace(WATER, note="new"))
    assert far.lost
    assert (await far.store.liquids.get(WATER.id)).note == WATER.note


async def test_an_answer_that_is_cut_off_is_none() -> None:
    theirs, ours = socket.socketpair()
    lost: list[str] = []
    writes = RemoteWrites(ours, lambda: lost.append("lost"))

    def answer_half() -> None:
        theirs.recv(1 << 16)
        theirs.sendall(b'{"result": {"id": "elder')
        theirs.close()

    half = threading.Thread(target=answer_half)
    half.start()
    with ours, theirs:
        with pytest.raises(NotAnsweredError):
            await Store.beside(Path("nowhere.sqlite"), writes).liquids.put(WATER)
        half.join()
    assert lost == ["lost"]


async def test_a_far_end_that_stops_in_the_middle_of_a_change_changes_nothing(store: Store) -> None:
    assert store.writer is not None
    before = await store.journal.last_seq()
    theirs, ours = socket.socketpair()
    thread = serve_changes(theirs, store.writer)
    head = {"change": "apply_changes", "with": [], "entries": 2}
    entry = {"entry": {"before": None, "after": {}}}
    ours.sendall(json.dumps(head).encode() + b"\n" + json.dumps(entry).encode() + b"\n")
    ours.close()
    await asyncio.to_thread(thread.join, 5)
    assert not thread.is_alive()
    assert await store.journal.last_seq() == before
