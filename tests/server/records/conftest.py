import asyncio
import shutil
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


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with the liquids and nothing else, closed; to be copied, not opened."""
    made = tmp_path_factory.mktemp("template") / "bar.sqlite"

    async def make() -> None:
        await (await open_store(made, assigned=False)).close()

    asyncio.run(make())
    return made


@pytest.fixture
async def store(path: Path, clock: Clock, template: Path) -> AsyncIterator[Store]:
    """The liquids, each on a channel."""
    shutil.copy(template, path)
    opened = await open_store(path, clock)
    yield opened
    await opened.close()


@pytest.fixture
async def bare(path: Path, clock: Clock, template: Path) -> AsyncIterator[Store]:
    """The liquids, and nothing that uses them."""
    shutil.copy(template, path)
    opened = await open_store(path, clock, assigned=False)
    yield opened
    await opened.close()
