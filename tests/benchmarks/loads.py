"""What a daemon may have beside it: each load is a process of its own, `python loads.py NAME URL`."""

import asyncio
import contextlib
import itertools
import json
import shutil
import sys
import time
from collections.abc import Awaitable, Callable, Coroutine
from urllib.parse import urlsplit

import httpx

REQUESTS_PER_S = 200
STREAMS = 1000
LISTENERS = 80
"""Event streams of guests and other programs beside the page: a full house of phones."""
IMPORTS = 7
FAULTY = "format = 1\n" + "".join(f"[liquids.L_{number}]\n" for number in range(4000))
"""65 kB in which every part is at fault."""


async def requests(url: str) -> None:
    """200 requests a second, spread over a page's usual reads."""
    paths = ("/machine", "/scale", "/pours?limit=10", "/channels")
    async with httpx.AsyncClient(base_url=url, timeout=30.0) as client:
        begin_s, number, open_ = time.perf_counter(), 0, set[asyncio.Task[object]]()
        while True:
            await asyncio.sleep(max(0.0, begin_s + number / REQUESTS_PER_S - time.perf_counter()))
            task: asyncio.Task[object] = asyncio.create_task(_quietly(client.get(paths[number % 4])))
            open_.add(task)
            task.add_done_callback(open_.discard)
            number += 1


async def streams(url: str) -> None:
    """1000 listeners to the live events; whom the daemon turns away comes back after a while."""
    await _listeners(url, STREAMS)


async def page_and_streams(url: str) -> None:
    """80 listeners, and the page open in a browser on the same computer, which draws each reading."""
    from playwright.async_api import async_playwright

    listening = asyncio.create_task(_listeners(url, LISTENERS))
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page = await browser.new_page()
        await page.goto(url.removesuffix("/v1/") + "/")
        await page.get_by_role("heading", level=1).wait_for()
        _say_ready()
        await listening


async def _listeners(url: str, many: int) -> None:
    await asyncio.gather(*(_listen(url, number) for number in range(many)))


async def _listen(url: str, number: int) -> None:
    parts = urlsplit(url)
    await asyncio.sleep(number / 500)
    while True:
        with contextlib.suppress(OSError):
            reader, writer = await asyncio.open_connection(parts.hostname, parts.port)
            writer.write(f"GET {parts.path}/events HTTP/1.1\r\nHost: {parts.netloc}\r\n\r\n".encode())
            while await reader.read(65536):
                pass
            writer.close()
        await asyncio.sleep(5.0)


async def one_import(url: str) -> None:
    """A faulty set-up file, again and again."""
    await _import(url, 1)


async def seven_imports(url: str) -> None:
    """Seven of them at once."""
    await _import(url, IMPORTS)


async def _import(url: str, many: int) -> None:
    async with httpx.AsyncClient(base_url=url, timeout=60.0) as client:

        async def again_and_again() -> None:
            while True:
                await _quietly(client.post("/setup/import", content=FAULTY))

        await asyncio.gather(*(again_and_again() for _ in range(many)))


async def long_json(url: str) -> None:
    """The traces of the last pours as JSON, some thousand entries each, one after the other."""
    async with httpx.AsyncClient(base_url=url, timeout=60.0) as client:
        while True:
            for pour in (await client.get("/pours", params={"limit": 5})).json():
                await _quietly(client.get(f"/pours/{pour['id']}/trace"))


async def commits(url: str) -> None:
    """Changes of a liquid, one committed after the other."""
    async with httpx.AsyncClient(base_url=url, timeout=30.0) as client:
        for number in itertools.count():
            body = {"name": f"House Water {number}", "density_g_per_ml": 0.9986, "abv_percent": 0}
            await _quietly(client.put("/liquids/spare-water", json=body))


async def _quietly(answer: Awaitable[object]) -> None:
    with contextlib.suppress(httpx.HTTPError):
        await answer


LOADS: dict[str, Callable[[str], Coroutine[None, None, None]]] = {
    "200 requests/s": requests,
    "1000 streams": streams,
    "one faulty import": one_import,
    "seven faulty imports": seven_imports,
    "long JSON": long_json,
    "back-to-back commits": commits,
}
PAGE = "80 streams, page open"
if shutil.which("chromium"):
    LOADS[PAGE] = page_and_streams


def _say_ready() -> None:
    print(json.dumps(sys.argv[1]), flush=True)


if __name__ == "__main__":
    if sys.argv[1] != PAGE:
        _say_ready()
    asyncio.run(LOADS[sys.argv[1]](sys.argv[2]))
