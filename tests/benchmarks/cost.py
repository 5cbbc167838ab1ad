"""What the core costs for each sample, and how fast the simulator runs."""

import time
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from statistics import median

from machine_at_rest import CONFIG
from rig import Result, Rig
from tarewell.dosing import events as e
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell.machine import events as ev
from tarewell.machine.effects import Write
from tarewell.machine.known import Known
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell.machine.machine import Machine
from tarewell.machine.pour_record import PourRecord
from tarewell.machine.requests import PourRequest
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

SECONDS = 60.0

RECORD = PourRecord(
    id="bench",
    machine_id="interval-bar",
    created_at=datetime(2026, 1, 1, tzinfo=UTC),
    origin="bench",
    program_version="0.1.0",
    board_id=None,
    board_firmware=None,
    idempotency_key=None,
    doses=(),
    outcome=None,
)


def core_us_per_sample() -> float:
    """Median over pours of the time that the core needs for one event of a recorded pour, in microseconds."""
    rig = Rig(seed=9101)
    rig.begin([(2, 60.0), (1, 60.0)])
    result = rig.finish()
    events = [(now_s, item) for now_s, item in result.log if isinstance(item, e.PourEvent)]
    runs = []
    for _ in range(15):
        pour = WeighingPour(result.setup)
        started = time.perf_counter()
        for now_s, event in events:
            pour.handle(event, now_s)
        runs.append((time.perf_counter() - started) / len(events) * 1e6)
    return round(median(runs), 1)


def machine_us_per_sample() -> dict[str, float]:
    """Median over runs of the time that the whole machine needs for a sample, in microseconds.

    That is with the watch, the alarms and the live readings, while nothing happens and in a pour.
    """
    rig = Rig(seed=9101)
    rig.run_for(10.0)
    begun_s, seen = rig.now_s, rig.samples[-600:]
    result = rig.begin([(2, 60.0), (1, 60.0)])
    rig.finish()
    idle = [
        (begun_s + (index - len(seen)) / rig.rate_hz, s.SampleArrived(sample, 0))
        for index, sample in enumerate(seen)
    ]
    pouring = list(_told(result))
    quiet, busy = [], []
    for _ in range(15):
        machine = Machine(CONFIG, Known(calibration=rig.calibration))
        status = LinkStatus(LinkState.OPEN, idle[0][0], "the board answers", rig.identity)
        machine.handle(ev.LinkChanged(status), idle[0][0])
        quiet.append(_us_per_sample(machine, idle))
        asked = ev.Requested(1, PourRequest(result.setup.plan, "bench"))
        (intent,) = [one for one in machine.handle(asked, begun_s) if isinstance(one, Write)]
        machine.handle(ev.WriteDone(intent.key, RECORD), begun_s)
        busy.append(_us_per_sample(machine, pouring))
        if machine.is_pouring:
            raise RuntimeError("the pour has not ended, so these are not the samples of a whole pour")
    return {
        "machine_us_per_idle_sample_median": round(median(quiet), 1),
        "machine_us_per_pour_sample_median": round(median(busy), 1),
    }


def _told(result: Result) -> Iterator[tuple[float, ev.MachineEvent]]:
    """What the machine is told in a pour that the rig has poured, from after its start."""
    run = 0
    for now_s, item in result.log:
        match item:
            case e.RunPump():
                run += 1
            case e.Weighed(sample):
                yield now_s, s.SampleArrived(sample, 0)
            case e.BoardStopped(channel, cause):
                yield now_s, s.Reported(m.Stopped(run, channel, cause, 0, 0), 0)
            case e.Tick():
                yield now_s, ev.Woken()


def _us_per_sample(machine: Machine, events: Sequence[tuple[float, ev.MachineEvent]]) -> float:
    spent_s, samples = 0.0, 0
    for now_s, event in events:
        started = time.perf_counter()
        machine.handle(event, now_s)
        if isinstance(event, s.SampleArrived):
            spent_s += time.perf_counter() - started
            samples += 1
    return spent_s / samples * 1e6


def simulator_speed() -> float:
    """Simulated seconds per second of one machine with a pump running and its samples read."""
    rig = Rig(seed=9102)
    machine, session = rig.machine, rig.session
    machine.bench.place_glass()
    top = round(rig.calibration.counts(900.0))
    session.outbox.ask(m.Run(3, m.Direction.FORWARD, 255, 400, top, 100_000), rig.now_s)
    simulated_s = spent_s = 0.0
    while simulated_s < SECONDS:
        session.outbox.ask(m.Keep(0, 400), rig.now_s)
        machine.write(session.outbox.take_lines())
        before_s = machine.now_s
        started = time.perf_counter()
        data = b""
        for _ in range(10):
            machine.advance(0.01)
            data += machine.read()
        spent_s += time.perf_counter() - started
        simulated_s += machine.now_s - before_s
        session.receive(data, rig.now_s)
        session.tick(rig.now_s)
        if not machine.truth.pump_on:
            raise RuntimeError("the pump stopped, so this is not the speed with a pump running")
    return round(simulated_s / spent_s, 0)


def run() -> dict[str, float]:
    """All figures of this module."""
    return {
        "core_us_per_sample_median": core_us_per_sample(),
        **machine_us_per_sample(),
        "simulator_times_real_time": simulator_speed(),
    }
