"""What the firmware needs and how fast it acts, measured on the emulated board."""

import subprocess
import time
from pathlib import Path
from random import Random
from statistics import mean
from typing import Any

from avr_desk import AvrDesk
from tarewell_avr.binding import CPU_HZ
from tarewell_avr.building import build_firmware, missing, variables_end
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m
from tarewell_sim.scenario import load_scenario

SECONDS = 20.0
CROSSINGS = 40
FLASH_BYTES, RAM_BYTES = 32768, 2048
PAINT = 0xC5  # what the firmware's start-up code fills free memory with


def _sizes(elf: Path) -> dict[str, int]:
    """Flash and static RAM by avr-size: text and data lie in flash, data and bss in RAM."""
    columns = subprocess.run(["avr-size", str(elf)], capture_output=True, text=True, check=True).stdout
    text, data, bss = map(int, columns.splitlines()[1].split()[:3])
    return {"flash_bytes": text + data, "static_ram_bytes": data + bss}


def _work(desk: AvrDesk, seconds: float) -> None:
    """All that the firmware does at once: a pump, renewals, display, knob, questions, a damaged line."""
    machine, random = desk.machine, desk.random
    desk.open()
    machine.bench.wire(byte_error_rate=0.002)
    desk.start(7, 470, speed=200)
    end_s = desk.now_s + seconds
    while desk.now_s < end_s:
        desk.ask(m.Keep(0, 470))
        desk.ask(m.Show(random.randrange(4), f"{desk.now_s:20.6f}"))
        desk.ask(random.choice((m.AskState(), m.AskStats(), m.AskLimits())))
        machine.bench.turn(random.choice((-1, 1)))
        desk.pass_s(random.uniform(0.04, 0.1))
    machine.bench.wire()


def _reactions_ms(desk: AvrDesk) -> list[float]:
    """From the end of the conversion that crosses the ceiling to the pump's pin."""
    machine, found = desk.machine, []
    for _ in range(CROSSINGS):
        desk.open()
        desk.pass_s(0.4)
        ceiling = machine.last_counts + 20_000
        received_s = desk.start(8, 470, ceiling_counts=ceiling)
        desk.keep_up(desk.random.uniform(0, 0.2), 470, received_s)
        machine.bench.hand(1.0, 0.3)
        period_s = machine.plant.adc.period_s
        while machine.last_counts < ceiling:
            desk.pass_s(0.0002)
        converted_s = desk.now_s - desk.now_s % period_s
        desk.pass_s(0.6)
        found.append(1000 * (machine.emulated.changed_s - converted_s))
    return found


def run() -> dict[str, Any]:
    """Figures by name; what is missing where the tools are."""
    if lacking := missing():
        return {"left_out": lacking}
    bar = load_scenario("theatre_bar")
    scenario = bar.model_copy(update={"channels": bar.channels[:5]})  # nothing flows from channel 8
    elf = build_firmware(scenario.board.baud, scenario.scale.adc.rate_hz, scenario.board.display)
    machine = EmulatedMachine(scenario, seed=1)
    machine.advance(0.5)
    desk = AvrDesk(machine, Random(1))
    machine.emulated.chip.forget_figures()
    started = time.process_time()
    _work(desk, SECONDS)
    speed = SECONDS / (time.process_time() - started)
    figures = machine.emulated.chip.figures()
    stack = machine.emulated.chip.deepest_stack(variables_end(elf), PAINT)
    reactions = _reactions_ms(desk)
    sizes = _sizes(elf)
    return sizes | {
        "flash_share": round(sizes["flash_bytes"] / FLASH_BYTES, 3),
        "deepest_stack_bytes": stack,
        "free_ram_bytes": RAM_BYTES - sizes["static_ram_bytes"] - stack,
        "worst_pass_ms": round(1000 * figures.longest_pass / CPU_HZ, 3),
        "longest_interrupt_us": round(1e6 * figures.longest_interrupt / CPU_HZ, 1),
        "awake_share": round(figures.awake / machine.emulated.chip.cycle, 3),
        "converter_clock_high_us": round(1e6 * figures.longest_high / CPU_HZ, 2),
        "ceiling_to_pin_mean_ms": round(mean(reactions), 2),
        "ceiling_to_pin_worst_ms": round(max(reactions), 2),
        "emulated_s_per_cpu_s": round(speed, 1),
    }
