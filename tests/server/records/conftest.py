from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from records_samples import Clock, open_store
from tarewell.records.store import Store


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "bar.sqlite"


@pytest.fixture
async def store(path: Path, clock: Clock) -> AsyncIterator[Store]:
    opened = await open_store(path, clock)
    yield opened
    await opened.close()
