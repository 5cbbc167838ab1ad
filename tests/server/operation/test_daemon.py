"""The daemon in this process: ready line, clean end, and why it may not start."""

import asyncio
import os
import signal
from pathlib import Path
from socket import create_server

import httpx
import pytest

from tarewell.daemon import StartError, listen, serve, url_of
from tarewell.records.errors import StoreError
from tarewell.settings import Settings, load_settings


def settings(folder: Path, **options: object) -> Settings:
    return load_settings(
        None,
        {"device": str(folder / "no-board"), "database": folder / "new" / "bar.db", "port": 0, **options},
    )


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
async def test_from_the_ready_line_to_a_clean_end(tmp_path: Path, number: signal.Signals) -> None:
    said: asyncio.Queue[str] = asyncio.Queue()
    before = asyncio.all_tasks()
    serving = asyncio.create_task(serve(settings(tmp_path), said.put_nowait))
    async with asyncio.timeout(10):
        word, url = (await said.get()).split()
        assert word == "ready"
        async with httpx.AsyncClient(base_url=url) as client:
            assert (await client.get("/v1/health")).status_code == 200
            answer = (await client.get("/v1/machine")).json()
            assert "no device" in answer["link"]["reason"]
            async with client.stream("GET", "/v1/events") as stream:
                lines = stream.aiter_lines()
                await anext(lines)
                os.kill(os.getpid(), number)
                async for _ in lines:
                    pass
        await serving
    assert asyncio.all_tasks() == before
    with pytest.raises(httpx.ConnectError):
        httpx.get(url)


async def test_a_second_daemon_with_the_same_database_is_refused(tmp_path: Path) -> None:
    said: asyncio.Queue[str] = asyncio.Queue()
    first = asyncio.create_task(serve(settings(tmp_path), said.put_nowait))
    async with asyncio.timeout(10):
        await said.get()
        with pytest.raises(StoreError, match="another process runs the machine"):
            await serve(settings(tmp_path), said.put_nowait)
        os.kill(os.getpid(), signal.SIGTERM)
        await first


async def test_a_port_in_use_and_an_unknown_host() -> None:
    with (
        create_server(("127.0.0.1", 0)) as taken,
        pytest.raises(StartError, match="is a daemon running already"),
    ):
        listen("127.0.0.1", taken.getsockname()[1])
    with pytest.raises(StartError, match="correct the setting `host`"):
        listen("no host", 0)
    with listen("127.0.0.1", 0) as listening:
        assert url_of(listening).startswith("http://127.0.0.1:")


async def test_a_database_that_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StartError, match="correct the setting `database`"):
        await serve(settings(tmp_path, database=tmp_path / "file" / "bar.db"), print)
    with pytest.raises(StoreError, match="not an SQLite database"):
        await serve(settings(tmp_path, database=tmp_path / "file"), print)
