from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from records_samples import open_store
from tarewell.records.store import Store


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[Store]:
    """The liquids, each on a channel."""
    opened = await open_store(tmp_path / "bar.sqlite")
    yield opened
    await opened.close()
