"""All of the physics: feed lines, glass and scale, advanced by a time step."""

from math import ceil
from random import Random

from .adc import Adc
from .feed import FeedLine
from .glass import PlacedGlass
from .scale import Cell, SprungPlatform, swing_c
from .specs import Scenario
from .tube import G_M_PER_S2

STEP_S = 0.0025
"""Longest step while something moves; a machine at rest is advanced in one."""

_MIN_FALL_M = 0.005


class Plant:
    """Everything that has mass; knows nothing of boards and protocols."""

    def __init__(self, scenario: Scenario, seed: int) -> None:
        self.scenario = scenario
        self.now_s = 0.0
        self.lines = {
            spec.number: FeedLine(spec, scenario.room, Random(f"{seed} feed {spec.number}"))
            for spec in scenario.channels
        }
        self.platform = SprungPlatform(scenario.scale.platform)
        self.cell = Cell(scenario.scale.cell, Random(f"{seed} cell"))
        self.adc = Adc(scenario.scale.adc, Random(f"{seed} adc"))
        self.glass: PlacedGlass | None = None
        self.shelf: PlacedGlass | None = None
        self.hand_g = 0.0
        self.leak_g_per_s = 0.0
        self.spilled_g = 0.0
        self.away_g = 0.0
        self.delivered_g = dict.fromkeys(self.lines, 0.0)
        self.brought_g = sum(line.bottle_g + line.tube_g for line in self.lines.values())
        room = scenario.room
        self._nozzle_m = room.nozzle_height_mm / 1000
        self._swing = room.temperature_c, room.swing_k, room.swing_period_h
        self._spring_gs = 0.0
        self._converted_s = 0.0

    @property
    def load_g(self) -> float:
        """Mass on the platform."""
        return self.glass.mass_g + self.glass.contents_g if self.glass else 0.0

    def advance(self, dt_s: float) -> None:
        """Advance by any time, in equal steps of at most `STEP_S` while something moves."""
        active = [line for line in self.lines.values() if line.active]
        steps = max(1, ceil(dt_s / STEP_S - 1e-9)) if active or self.leak_g_per_s else 1
        step_s, glass = dt_s / steps, self.glass
        moving_g = self.load_g  # the load on the plate; its small rise within a few steps is neglected
        for _ in range(steps):
            force_g = self._feed(active, step_s) if active else self.hand_g
            if glass:
                if self.leak_g_per_s:
                    self.spilled_g += glass.leak(self.leak_g_per_s * step_s)
                force_g += glass.mass_g + glass.contents_g
            self._spring_gs += self.platform.step(step_s, force_g, moving_g)
            self.now_s += step_s

    def _feed(self, active: list[FeedLine], dt_s: float) -> float:
        """Step the lines that move; returns the force on the plate in g, without the weight of the glass."""
        glass, force_g = self.glass, self.hand_g
        height_m = max(_MIN_FALL_M, self._nozzle_m - (glass.level_m if glass else 0.0))
        for line in active:
            landed_g, momentum = line.step(self.now_s, dt_s, height_m)
            if landed_g > 0.0:
                over_g = glass.pour_in(landed_g, line.density_g_per_ml) if glass else landed_g
                self.delivered_g[line.number] += landed_g - over_g
                self.spilled_g += over_g
                force_g += momentum / (dt_s * G_M_PER_S2)
            if line.pump.active:
                force_g += line.pump.shake_g()
        return force_g

    def convert(self) -> int:
        """The code of the conversion that ends now."""
        period_s = self.now_s - self._converted_s
        mean_g = self._spring_gs / period_s
        self._spring_gs, self._converted_s = 0.0, self.now_s
        temperature_c = swing_c(*self._swing, self.now_s)
        return self.adc.convert(self.cell.counts(mean_g, period_s, temperature_c))
