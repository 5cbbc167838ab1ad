"""Advances a machine in step with wall time; no other module of the simulator uses wall time."""

import asyncio
import logging

from .machine import SimulatedMachine
from .ports import SimulatedPort

PIECE_S = 0.005
"""Longest stretch of wall time that is simulated at once."""
LATE_S = 0.1
"""Lateness beyond which lost time is not caught up."""

_log = logging.getLogger(__name__)


async def pace(machine: SimulatedMachine, port: SimulatedPort, speed: float, stop: asyncio.Event) -> None:
    """Advance `machine` by `speed` times the wall clock, carrying bytes to and from `port`, until `stop`.

    A late machine catches up at no more than twice its speed, so that the host never gets a burst; lateness
    beyond `LATE_S` is skipped: simulated time then falls behind, and the log says so.
    """
    loop = asyncio.get_running_loop()
    due_s = loop.time()
    plugged = True
    while not stop.is_set():
        if plugged != machine.to_host.plugged:
            plugged = machine.to_host.plugged
            if plugged:
                await port.plug()
            else:
                port.unplug()
        machine.write(port.receive())
        machine.advance(PIECE_S * speed)
        if data := machine.read():
            port.send(data)
        due_s += PIECE_S
        late_s = loop.time() - due_s
        if late_s > LATE_S:
            _log.warning("%.0f ms late, skipped: this computer is busy or the speed too high", 1000 * late_s)
            due_s += late_s
        await asyncio.sleep(max(-late_s, PIECE_S / 2))
