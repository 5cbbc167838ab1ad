"""Imports of set-up files: one at a time, each planned by a child process with a timeout.

Reading a large file keeps an interpreter busy for seconds; in a child process it delays nobody else.
"""

import asyncio
import json
import sys
from asyncio.subprocess import PIPE
from pathlib import Path
from typing import Protocol

from tarewell.quantities.units import SmallMeasures
from tarewell.setup_file.exchange import ImportPlan
from tarewell.setup_file.reading import FileFault, SetupFaultsError
from tarewell.typed_json import dump, load

from .problems import ProblemError

WITHIN_S = 20.0
MAX_WAITING = 3
"""One running and two queued."""


class Importer(Protocol):
    """Plans the import of a set-up file."""

    async def plan(self, text: str) -> ImportPlan:
        """The changes that importing the file would make.

        Raises:
            SetupFaultsError: anything in it is wrong; every fault with line and path.
            ProblemError: too many imports, or this one takes too long.
        """


class ChildImporter:
    """Plans in a child process, which reads the database at `path`."""

    def __init__(self, path: Path, small: SmallMeasures) -> None:
        self._path = path
        self._small = small
        self._waiting = 0
        self._turn = asyncio.Lock()

    async def plan(self, text: str) -> ImportPlan:
        """See `Importer.plan`."""
        if self._waiting >= MAX_WAITING:
            raise ProblemError(
                "too-many",
                f"{MAX_WAITING} imports are already under way; send this one again later",
                headers={"Retry-After": "5"},
            )
        self._waiting += 1
        try:
            async with self._turn:
                return await self._plan(text)
        finally:
            self._waiting -= 1

    async def _plan(self, text: str) -> ImportPlan:
        given = json.dumps({"database": str(self._path), "small": dump(self._small), "text": text})
        child = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tarewell.setup_file", stdin=PIPE, stdout=PIPE
        )
        try:
            async with asyncio.timeout(WITHIN_S):
                out, _ = await child.communicate(given.encode())
        except TimeoutError as error:
            raise ProblemError(
                "too-large",
                f"the file could not be read within {WITHIN_S:g} s; import it in parts",
            ) from error
        finally:
            if child.returncode is None:
                child.kill()
                await child.wait()
        answer = json.loads(out)
        if "faults" in answer:
            raise SetupFaultsError(load(list[FileFault], answer["faults"]), answer["count"])
        plan: ImportPlan = load(ImportPlan, answer["plan"])
        return plan
