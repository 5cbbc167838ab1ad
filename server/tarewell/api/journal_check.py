"""Checks of the journal: one at a time, in the background, and what the last one found."""

import asyncio
import json
import sys
from asyncio.subprocess import PIPE
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from pathlib import Path

from tarewell.records.errors import StoreError
from tarewell.records.verify import ChainReport
from tarewell.typed_json import load

WITHIN_S = 600.0

Verify = Callable[[], Awaitable[ChainReport]]


def verify_in_child(path: Path) -> Verify:
    """Checks the database at `path` in a child process: hashing keeps an interpreter busy for seconds."""

    async def verify() -> ChainReport:
        child = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tarewell.records.verify", str(path), stdout=PIPE, stderr=PIPE
        )
        try:
            async with asyncio.timeout(WITHIN_S):
                out, err = await child.communicate()
        except TimeoutError as error:
            raise StoreError(
                f"the journal could not be checked within {WITHIN_S:g} s; use `tarewell db verify`"
            ) from error
        finally:
            if child.returncode is None:
                child.kill()
                await child.wait()
        if child.returncode:
            raise StoreError(err.decode(errors="replace").strip().rpartition("\n")[2])
        report: ChainReport = load(ChainReport, json.loads(out))
        return report

    return verify


class JournalCheck:
    """What the last check found: `report`, or `failure` where it could not be made; `at` is when it ended."""

    def __init__(self, verify: Verify) -> None:
        self._verify = verify
        self._task: asyncio.Task[None] | None = None
        self.report: ChainReport | None = None
        self.failure: str | None = None
        self.at: datetime | None = None

    @property
    def under_way(self) -> bool:
        """Whether one is being made."""
        return self._task is not None

    def begin(self) -> None:
        """Check in the background, unless a check is under way."""
        if self._task is None:
            self._task = asyncio.create_task(self._run(), name="journal check")

    async def _run(self) -> None:
        try:
            self.report, self.failure = await self._verify(), None
        except StoreError as error:
            self.failure = str(error)
        finally:
            self.at, self._task = datetime.now(UTC), None
