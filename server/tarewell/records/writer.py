"""The one writer: a thread with a queue that runs one transaction after the other.

A job queued with `write` is tried once, and its error goes to the caller. A job queued with `keep` must not
be lost: while the file cannot be written it is retried, and meanwhile `fault` says why; a job that can never
be written (SQLite or the program itself rejects it) is appended to the dead-letter file beside the database,
and the next one follows. The listener is called on the event loop.
"""

import asyncio
import json
import logging
import os
import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar

from tarewell.typed_json import dump

from .engine import Database
from .errors import RejectedError, StoreError
from .transaction import Author, Transaction
from .values import StoredEvent

log = logging.getLogger(__name__)

P = ParamSpec("P")
T = TypeVar("T")

MAX_WAITING = 5000
"""With more queued jobs than this, new ones are dropped: the disk has been full for hours."""

FIRST_RETRY_S, MAX_RETRY_S = 0.2, 5.0


class Writes(Protocol):
    """Carries out changes of the records: the writer, or its proxy in another process."""

    async def write(
        self, work: Callable[Concatenate[Transaction, P], T], /, *args: P.args, **kwargs: P.kwargs
    ) -> T:
        """The result of `work` in a transaction of its own, committed when this returns.

        Raises:
            StoreError: it could not be written.
            Exception: whatever `work` raises; nothing was written.
        """


class NoWrites:
    """For a read-only store."""

    async def write(
        self, work: Callable[Concatenate[Transaction, P], T], /, *args: P.args, **kwargs: P.kwargs
    ) -> T:
        """Refuse.

        Raises:
            StoreError: always.
        """
        raise StoreError("this store was opened for reading; open it for writing")


@dataclass(frozen=True, slots=True)
class Committed:
    """Events that were appended to the journal, in order."""

    events: tuple[StoredEvent, ...]


@dataclass(frozen=True, slots=True)
class Failing:
    """Queued jobs cannot be written at present."""

    reason: str


@dataclass(frozen=True, slots=True)
class Working:
    """The records can be written again."""


@dataclass(frozen=True, slots=True)
class SetAside:
    """A record that can never be written is in the dead-letter file."""

    what: str
    reason: str


WriterNews = Committed | Failing | Working | SetAside


@dataclass(frozen=True, slots=True)
class _Job:
    """`answer` None: it must not be lost; then `after` is called on the loop once it is written or set
    aside."""

    work: Callable[..., Any]
    args: tuple[Any, ...]
    kwargs: dict[str, Any]
    answer: "Future[Any] | None" = None
    after: Callable[[], None] | None = None
    fallback: "_Job | None" = None


class Writer:
    """Made on the event loop, where its listener is called; `close` ends the thread once all is written."""

    def __init__(
        self,
        database: Database,
        author: Author,
        clock: Callable[[], datetime],
        retry_s: float = FIRST_RETRY_S,
    ) -> None:
        self._database = database
        self._author = author
        self._clock = clock
        self._retry_s = retry_s
        self._loop = asyncio.get_running_loop()
        self._jobs: deque[_Job] = deque()
        self._changed = threading.Condition()
        self._closing = False
        self._identity = _identity_of(database.path)
        self.fault: str | None = None
        self.listener: Callable[[WriterNews], None] = lambda news: None
        self._thread = threading.Thread(target=self._run, name="writer", daemon=True)
        self._thread.start()

    @property
    def dead_letters(self) -> Path:
        """The file of records that could never be written, one JSON object a line."""
        return self._database.path.with_name(self._database.path.name + ".dead-letters.jsonl")

    async def write(
        self, work: Callable[Concatenate[Transaction, P], T], /, *args: P.args, **kwargs: P.kwargs
    ) -> T:
        """See `Writes.write`. The transaction runs to its end even if the caller is cancelled."""
        return await asyncio.shield(asyncio.wrap_future(self.submit(work, *args, **kwargs)))

    def submit(
        self, work: Callable[Concatenate[Transaction, P], T], /, *args: P.args, **kwargs: P.kwargs
    ) -> "Future[T]":
        """The same from any thread, without waiting.

        Raises:
            StoreError: the records cannot be written at present, or the store is closed.
        """
        self._database.require_open()
        if self.fault is not None:
            raise StoreError(self.fault)
        answer: Future[T] = Future()
        answer.set_running_or_notify_cancel()
        self._add(_Job(work, args, kwargs, answer))
        return answer

    def keep(
        self,
        work: Callable[Concatenate[Transaction, P], object],
        /,
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> None:
        """Queue a job, to be written as soon as possible; never waits."""
        self._add(_Job(work, args, kwargs))

    def keep_then(
        self,
        after: Callable[[], None],
        work: Callable[..., object],
        *args: Any,
        fallback: tuple[Any, ...] | None = None,
    ) -> None:
        """The same, with a callback on the loop afterwards; `fallback` has the arguments for a second try
        where the first can never be written."""
        second = None if fallback is None else _Job(work, fallback, {}, after=after)
        self._add(_Job(work, args, {}, after=after, fallback=second))

    @property
    def busy(self) -> bool:
        """Whether something is being written, or waits to be and can be."""
        return bool(self._jobs) and self.fault is None

    async def drain(self, timeout_s: float) -> bool:
        """Wait until all is written; returns whether it was within `timeout_s`."""
        return await asyncio.to_thread(self._wait_idle, timeout_s)

    def close(self) -> None:
        """End the thread once everything that can be written is; reports the rest. Blocks."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        self._thread.join()

    def _wait_idle(self, timeout_s: float) -> bool:
        with self._changed:
            return self._changed.wait_for(lambda: not self._jobs, timeout_s)

    def _add(self, job: _Job) -> None:
        with self._changed:
            if self._closing:
                raise StoreError(f"the database {self._database.path} is closed; open the store again")
            if job.answer is None and len(self._jobs) >= MAX_WAITING:
                log.error("a record was dropped: %s are queued already (%s)", MAX_WAITING, self.fault)
                return
            self._jobs.append(job)
            self._changed.notify_all()

    # In the thread

    def _run(self) -> None:
        pause_s = self._retry_s
        while (job := self._next()) is not None:
            if self._carry_out(job):
                pause_s = self._retry_s
                with self._changed:
                    self._jobs.popleft()
                    self._changed.notify_all()
                continue
            with self._changed:
                if self._changed.wait_for(lambda: self._closing, pause_s):
                    break
            pause_s = min(2 * pause_s, MAX_RETRY_S)
        if self._jobs:
            log.error("%d records were not written: %s", len(self._jobs), self.fault)

    def _next(self) -> _Job | None:
        with self._changed:
            self._changed.wait_for(lambda: self._jobs or self._closing)
            return self._jobs[0] if self._jobs else None

    def _carry_out(self, job: _Job) -> bool:
        """Try it; False where it must be retried."""
        try:
            result = self._transact(job)
        except BaseException as error:
            if job.answer is not None:
                job.answer.set_exception(error)
                return True
            if isinstance(error, StoreError) and not isinstance(error, RejectedError):
                self._fail(error)
                return False
            self._set_aside(job, error)
            return True
        if self.fault is not None:
            log.warning("the records can be written again")
            self.fault = None
            self._notify(Working())
        if job.answer is not None:
            job.answer.set_result(result)
        self._call(job.after)
        return True

    def _transact(self, job: _Job) -> Any:
        self._require_same_file()
        with self._database.write() as session:
            transaction = Transaction(session, self._author, self._clock())
            result = job.work(transaction, *job.args, **job.kwargs)
        if transaction.events:
            self._notify(Committed(tuple(transaction.events)))
        return result

    def _require_same_file(self) -> None:
        """Check that the file still is the one opened: SQLite keeps writing to a deleted file without an
        error."""
        path = self._database.path
        if _identity_of(path) != self._identity:
            raise StoreError(f"the database {path} is another file than the one opened; restart the program")

    def _fail(self, error: StoreError) -> None:
        """Report the error to callers that wait for an answer; other jobs stay queued."""
        with self._changed:
            waiting = [job for job in self._jobs if job.answer is not None]
            kept = [job for job in self._jobs if job.answer is None]
            self._jobs.clear()
            self._jobs.extend(kept)
            first, self.fault = self.fault is None, str(error)
        for job in waiting:
            if job.answer is not None:
                job.answer.set_exception(error)
        if first:
            log.error("%s", error)
            self._notify(Failing(str(error)))

    def _set_aside(self, job: _Job, error: BaseException) -> None:
        """Append the data of a job that can never be written to the dead-letter file."""
        name = getattr(job.work, "__name__", repr(job.work))
        log.error("a record (%s) was set aside: %s", name, error, exc_info=error)
        line = {
            "at": self._clock().isoformat(),
            "work": name,
            "error": f"{type(error).__name__}: {error}",
            "arguments": [_plain(value) for value in job.args],
        }
        try:
            descriptor = os.open(self.dead_letters, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
            with os.fdopen(descriptor, "w") as file:
                file.write(json.dumps(line) + "\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError:
            log.exception("the dead-letter file cannot be written; the record is lost: %s", line)
        self._notify(SetAside(name, str(error)))
        if job.fallback is not None:
            with self._changed:
                self._jobs.insert(1, job.fallback)
        else:
            self._call(job.after)

    def _notify(self, news: WriterNews) -> None:
        self._call(lambda: self.listener(news))

    def _call(self, call: Callable[[], None] | None) -> None:
        if call is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(call)


def _identity_of(path: Path) -> tuple[int, int]:
    try:
        found = path.stat()
    except OSError as error:
        raise StoreError(
            f"the database {path} is gone ({error.strerror}); put it back, or restart with a new one"
        ) from error
    return found.st_dev, found.st_ino


def _plain(value: Any) -> Any:
    try:
        return dump(value)
    except TypeError:
        return repr(value)
