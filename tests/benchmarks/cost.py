"""What the core costs for each sample, and how fast the simulator runs."""

import time
from statistics import median

from rig import Rig
from tarewell.dosing import events as e
from tarewell.dosing.weighing_pour import WeighingPour
from tarewell_protocol import messages as m

SECONDS = 60.0


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


def simulator_speed() -> float:
    """Simulated seconds per second of one machine with a pump running and its samples read."""
    rig = Rig(seed=9102)
    machine, session = rig.machine, rig.session
    machine.bench.place_glass()
    top = round(rig.calibration.counts(900.0))
    session.request(m.Run(3, m.Direction.FORWARD, 255, 400, top, 100_000), rig.now_s)
    simulated_s = spent_s = 0.0
    while simulated_s < SECONDS:
        session.request(m.Keep(0, 400), rig.now_s)
        machine.write(session.data_to_send())
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
        "simulator_times_real_time": simulator_speed(),
    }
