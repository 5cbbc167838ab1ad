"""How well doses meet their targets, on the simulated machine, with seeds that no test uses."""

from random import Random
from statistics import mean, quantiles, stdev

from rig import Rig
from tarewell.dosing import events as e
from tarewell.dosing.states import PourState

CHANNELS = {
    1: "water-like",
    2: "spirit, 40 % vol",
    3: "syrup, 65 degrees Brix",
    4: "cordial, worn tube",
    5: "fast pump, 20 g/s",
}
DRIPS_S = 3.0
STEADY_AFTER_S, STEADY_FOR_S = 0.6, 0.6
"""The pump's steady flow is what it delivers after the first, if a coarse feed lasts as long as both."""

MAX_RESTARTS = 3


def one_dose(rig: Rig, channel: int, target_g: float) -> dict[str, float]:
    """Pour one dose into a fresh glass: the error of the true mass in the glass, drips included, and by how
    much the record differs from what lay in the glass when it was made."""
    truth = rig.machine.truth
    if truth.bottle_g[channel] < 250:
        rig.machine.bench.swap_bottle(channel)
    before_g = truth.delivered_g[channel]
    steady: list[tuple[float, float]] = []
    rig.begin([(channel, target_g)])
    pour = rig.pour
    if pour is None:
        raise RuntimeError("the pour did not begin")
    holds = 0
    while not pour.finished:
        rig.step()
        if pour.state is PourState.COARSE_FEED:
            steady.append((rig.now_s, truth.flow_g_per_s(channel)))
        if pour.state is PourState.HELD:
            holds += 1
            if holds > MAX_RESTARTS:
                rig.command(e.PourCommand.STOP)
            else:
                rig.command(e.PourCommand.RESTART)
    result = rig.finish()
    at_verdict_g = truth.delivered_g[channel]
    rig.run_for(DRIPS_S)
    delivered_g = truth.delivered_g[channel] - before_g
    begun_s, ended_s = (steady[0][0], steady[-1][0]) if steady else (0.0, 0.0)
    flows = [flow for at_s, flow in steady if at_s >= begun_s + STEADY_AFTER_S]
    is_long = ended_s - begun_s >= STEADY_AFTER_S + STEADY_FOR_S
    (dose,) = result.doses
    return {
        "target_g": target_g,
        "error_g": delivered_g - target_g,
        "recorded_less_true_g": dose.delivered_g - (at_verdict_g - before_g),
        "landed_late_g": truth.delivered_g[channel] - at_verdict_g,
        "seconds": dose.ended_s - dose.began_s,
        "steady_g_per_s": mean(flows) if is_long else 0.0,
        "jogs": dose.jogs,
        "holds": holds,
    }


def summary(rows: list[dict[str, float]]) -> dict[str, float]:
    """Figures of one channel."""
    errors = [row["error_g"] for row in rows]
    size = sorted(abs(error) for error in errors)
    recorded = [row["recorded_less_true_g"] for row in rows]
    below = -min(recorded) > max(recorded)
    flow = mean(row["steady_g_per_s"] for row in rows if row["steady_g_per_s"] > 0)
    over = [row["seconds"] - row["target_g"] / flow for row in rows]
    return {
        "doses": len(rows),
        "flow_g_per_s": round(flow, 2),
        "bias_g": round(mean(errors), 3),
        "sd_g": round(stdev(errors), 3),
        "p95_g": round(quantiles(size, n=20)[-1], 3),
        "largest_g": round(size[-1], 3),
        "first_dose_error_g": round(errors[0], 3),
        "recorded_less_true_mean_g": round(mean(recorded), 3),
        "recorded_less_true_largest_g": round(min(recorded) if below else max(recorded), 3),
        "landed_after_verdict_mean_g": round(mean(row["landed_late_g"] for row in rows), 3),
        "over_flow_time_mean_s": round(mean(over), 2),
        "over_flow_time_median_s": round(sorted(over)[len(over) // 2], 2),
        "over_flow_time_p95_s": round(quantiles(over, n=20)[-1], 2),
        "over_flow_time_learned_s": round(mean(over[5:]), 2),
        "jogs_mean": round(mean(row["jogs"] for row in rows), 2),
        "holds": int(sum(row["holds"] for row in rows)),
    }


def run(doses: int = 200, seed: int = 9001) -> dict[str, dict[str, float]]:
    """Pour `doses` doses of 15 to 90 g, shared among the channels, each channel unknown at first."""
    random = Random(seed)
    figures = {}
    for channel in CHANNELS:
        rig = Rig(seed=seed + channel)
        rows = [
            one_dose(rig, channel, round(random.uniform(15, 90), 1)) for _ in range(doses // len(CHANNELS))
        ]
        figures[CHANNELS[channel]] = summary(rows)
    return figures
