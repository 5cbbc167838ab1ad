"""An event loop whose clock is the simulated machine's: asyncio code runs against physics without waiting.

Whenever the loop would sleep, simulated time advances instead, by a few milliseconds at most, and the board's
output is delivered. While a thread is at work (the database), simulated time waits for it.
"""

import asyncio
import selectors
from collections.abc import Callable, Coroutine
from random import Random
from typing import Any, TypeVar

from tarewell.device.port import PortError
from tarewell_sim.machine import SimulatedMachine

T = TypeVar("T")

STEP_S = 0.004
START_S = 1000.0

BUSY_S, PATIENCE = 0.002, 5000
"""While a thread is known to be at work, simulated time waits for it: so long at a time, so often."""


class _Stepping(selectors.SelectSelector):
    """Polls for real events, then advances simulated time instead of waiting."""

    pass_time: Callable[[float], None] | None = None
    busy: Callable[[], bool] = staticmethod(lambda: False)
    _patience = PATIENCE

    def select(self, timeout: float | None = None) -> Any:
        if timeout is not None and timeout <= 0:
            return super().select(0)
        if self.busy() and self._patience:
            self._patience -= 1
            return super().select(BUSY_S)
        self._patience = PATIENCE
        ready = super().select(0)
        if not ready and self.pass_time is not None:
            self.pass_time(STEP_S if timeout is None else min(timeout, STEP_S))
        return ready


class SteppedLoop(asyncio.SelectorEventLoop):
    """A loop in simulated time; `passing` is called with each step of it."""

    def __init__(self) -> None:
        selector = _Stepping()
        super().__init__(selector)
        selector.pass_time = self._pass
        selector.busy = self._busy
        self._now_s = START_S
        self._in_threads = 0
        self.at_work: list[Callable[[], bool]] = []
        """Each says whether a thread does something that simulated time should wait for."""
        self.passing: list[Callable[[float], None]] = []

    def time(self) -> float:
        """Simulated seconds."""
        return self._now_s

    def skip(self, seconds: float) -> None:
        """Let time pass in which nothing runs; as with a real loop, what came in goes before timers."""
        self._now_s += seconds
        for call in list(self.passing):
            self.call_soon(call, seconds)

    def run_in_executor(self, executor: Any, func: Callable[..., Any], *args: Any) -> Any:  # type: ignore[override]
        """As usual, and simulated time waits for it."""
        self._in_threads += 1
        future = super().run_in_executor(executor, func, *args)
        future.add_done_callback(lambda _: self._leave_thread())
        return future

    def _leave_thread(self) -> None:
        self._in_threads -= 1

    def _busy(self) -> bool:
        return self._in_threads > 0 or any(busy() for busy in self.at_work)

    def _pass(self, step_s: float) -> None:
        self._now_s += max(step_s, 1e-6)
        for call in list(self.passing):
            call(step_s)


def run_stepped(main: Callable[[], Coroutine[Any, Any, T]]) -> T:
    """Run `main` in simulated time; fails if it leaves a task running."""

    async def watched() -> T:
        result = await main()
        left = asyncio.all_tasks() - {asyncio.current_task()}
        if left:
            raise AssertionError(f"left running: {[task.get_name() for task in left]}")
        return result

    with asyncio.Runner(loop_factory=SteppedLoop) as runner:
        return runner.run(watched())


class SteppedPort(asyncio.Transport):
    """A port whose other end is a simulated machine; `loop.passing` must advance that.

    `chop` splits input into pieces of 1 to this many bytes; `present` says whether the device exists.
    """

    def __init__(
        self,
        machine: SimulatedMachine,
        chop: int | None = None,
        present: Callable[[], bool] = lambda: True,
        seed: int = 1,
    ) -> None:
        super().__init__()
        self._machine = machine
        self._chop = chop
        self._present = present
        self._random = Random(seed)
        self._protocol: asyncio.Protocol | None = None
        self._loop = asyncio.get_running_loop()
        self._cut = False

    async def open(self, protocol: asyncio.Protocol) -> None:
        if not isinstance(self._loop, SteppedLoop):
            raise TypeError("a stepped port needs a stepped loop")
        if not self._present():
            raise PortError("there is no such device")
        self._machine.read()
        self._protocol = protocol
        protocol.connection_made(self)
        self._loop.passing.append(self._step)

    def cut(self) -> None:
        """Nothing passes any more, either way, and nobody is told."""
        self._cut = True

    def _step(self, _: float) -> None:
        data = b"" if self._cut else self._machine.read()
        while data and self._protocol is not None:
            size = len(data) if self._chop is None else self._random.randint(1, self._chop)
            self._protocol.data_received(data[:size])
            data = data[size:]

    def write(self, data: bytes | bytearray | memoryview) -> None:
        if not self._cut:
            self._machine.write(bytes(data))

    def abort(self) -> None:
        self.hang_up(None)

    def hang_up(self, exc: Exception | None) -> None:
        """The connection ends, from either side."""
        protocol, self._protocol = self._protocol, None
        if protocol is not None and isinstance(self._loop, SteppedLoop):
            self._loop.passing.remove(self._step)
            self._loop.call_soon(protocol.connection_lost, exc)
