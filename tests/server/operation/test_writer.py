"""The order of writes, what is tried again, and who is told."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

import pytest

from tarewell.operation.writer import Writer
from tarewell.records.errors import DiskFullError, StoreError


class Disk:
    """Takes lines while there is room."""

    def __init__(self) -> None:
        self.room = True
        self.lines: list[str] = []
        self.faults: list[str] = []

    def line(self, text: str) -> Callable[[], Awaitable[str]]:
        async def write() -> str:
            if not self.room:
                raise DiskFullError("no room")
            self.lines.append(text)
            return text

        return write


@asynccontextmanager
async def writing(disk: Disk) -> AsyncIterator[Writer]:
    writer = Writer(disk.faults.append, retry_s=0.0)
    task = asyncio.create_task(writer.run())
    try:
        yield writer
    finally:
        task.cancel()
        await asyncio.wait({task})


async def test_in_the_order_asked_for() -> None:
    disk = Disk()
    async with writing(disk) as writer:
        writer.put(disk.line("a"))
        assert await writer.do(disk.line("b")) == "b"
        writer.put(disk.line("c"))
        assert await writer.drain(1)
    assert disk.lines == ["a", "b", "c"]
    assert disk.faults == []


async def test_what_must_be_kept_is_kept_when_there_is_room_again() -> None:
    disk = Disk()
    async with writing(disk) as writer:
        disk.room = False
        writer.put(disk.line("a"))
        writer.put(disk.line("b"))
        assert not await writer.drain(0.01)
        assert writer.fault == "no room"
        with pytest.raises(StoreError, match="no room"):
            await writer.do(disk.line("c"))
        disk.room = True
        assert await writer.drain(1)
        assert writer.fault is None
    assert disk.lines == ["a", "b"]
    assert disk.faults == ["no room"]


async def test_who_waits_is_not_kept_waiting_by_a_fault() -> None:
    disk = Disk()
    async with writing(disk) as writer:
        disk.room = False
        writer.put(disk.line("a"))
        with pytest.raises(StoreError, match="no room"):
            await asyncio.wait_for(writer.do(disk.line("b")), 1)


async def test_a_write_that_can_never_succeed_does_not_block_the_others() -> None:
    disk = Disk()

    async def wrong() -> None:
        raise ValueError("no number")

    async with writing(disk) as writer:
        with pytest.raises(ValueError, match="no number"):
            await writer.do(wrong)
        writer.put(wrong)
        writer.put(disk.line("a"))
        assert await writer.drain(1)
        assert writer.fault is None
    assert disk.lines == ["a"]
    assert disk.faults == ["a record could not be kept: no number"]
