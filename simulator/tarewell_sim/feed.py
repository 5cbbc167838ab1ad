"""One feed line: bottle, pump, tube, nozzle, and the liquid that falls from it."""

from math import pi
from random import Random

from .bridge import Bridge
from .jet import Jet
from .pump import Pump
from .specs import ChannelSpec, RoomSpec
from .tube import G_M_PER_S2, FlowLoss, Tube

_RESIDUE_G = 0.2
"""The rest that no tube draws from a bottle."""


class FeedLine:
    """Moves liquid from one bottle into the air above the glass."""

    def __init__(self, spec: ChannelSpec, room: RoomSpec, rng: Random) -> None:
        self.spec = spec
        self.number = spec.number
        self.liquid = spec.liquid.liquid()
        self.density_g_per_ml = self.liquid.density_g_per_ml
        self.bottle_g = spec.bottle_g
        self.pump = Pump(spec.pump, Bridge.of(room))
        self.tube = Tube(spec.tube)
        self._loss = FlowLoss(spec.tube, self.liquid)
        self.jet = Jet()
        self.kink = 1.0
        self.stuck = False
        self.flow_g_per_s = 0.0
        self.active = False
        """Whether any part of it moves."""
        self._rng = rng
        self._commanded, self._supplied = 0.0, True
        self._sputter_g = spec.sputter_g
        self._gulp_wet, self._gulp_ml = True, 0.0
        self._drips_s: list[float] = []
        nozzle_m = spec.tube.nozzle_bore_mm / 1000
        self._nozzle_m2 = pi * nozzle_m**2 / 4
        # Tate's law: m g = 2 pi r gamma F, F about 0.6 for drops of this size (from memory).
        self._drop_g = 1000 * 0.6 * pi * nozzle_m * self.liquid.surface_tension_n_per_m / G_M_PER_S2

    @property
    def driven(self) -> bool:
        """Whether the motor has voltage, commanded or not."""
        return self._supplied and (self.stuck or self._commanded != 0.0)

    @property
    def tube_g(self) -> float:
        """Mass of the liquid in the tube."""
        return self.tube.liquid_ml * self.density_g_per_ml

    def command(self, signed_share: float) -> None:
        """Set the board's output, -1 to 1; a stuck relay overrides it."""
        self._commanded = signed_share
        self._drips_s.clear()
        self.pump.drive((1.0 if self.stuck else signed_share) if self._supplied else 0.0)
        self.active = self._moves

    def supply(self, on: bool) -> None:
        """Switch the pump's supply; without it nothing turns, a welded relay included."""
        self._supplied = on
        self.command(self._commanded)

    def stick(self, stuck: bool) -> None:
        """Weld or free the relay; a welded one drives the pump forward at full supply."""
        self.stuck = stuck
        self.command(self._commanded)

    def step(self, now_s: float, dt_s: float, height_m: float) -> tuple[float, float]:
        """Advance; returns the mass that lands (g) and its momentum (g·m/s)."""
        if self.pump.active:
            self._pump(now_s, dt_s, height_m)
        elif self._drips_s and self._drips_s[0] < now_s + dt_s:
            self._drips_s.pop(0)
            fell_g = self._drip()
            if fell_g > 0.0:
                self.jet.emit(now_s, dt_s, fell_g, 0.0, height_m)
        landed = self.jet.land(now_s + dt_s)
        if not self.pump.active:
            self.active = self._moves
        return landed

    @property
    def _moves(self) -> bool:
        return self.pump.active or not self.jet.empty or bool(self._drips_s)

    def _pump(self, now_s: float, dt_s: float, height_m: float) -> None:
        pump, density = self.pump, self.density_g_per_ml
        moved_ml = self.kink * self._loss.share(pump.mean_ml_per_s) * pump.step(dt_s)
        out_ml = 0.0
        if moved_ml > 0.0:
            drawn_ml = self._draw(moved_ml)
            self.bottle_g -= drawn_ml * density
            out_ml = self.tube.forward(drawn_ml, moved_ml - drawn_ml)
        elif moved_ml < 0.0:
            self.bottle_g += self.tube.backward(-moved_ml) * density
        out_g = out_ml * density
        self.flow_g_per_s = out_g / dt_s
        if out_ml > 0.0:
            self.jet.emit(now_s, dt_s, out_g, out_ml * 1e-6 / (dt_s * self._nozzle_m2), height_m)
        if not pump.active:
            self.flow_g_per_s = 0.0
            self._plan_drips(now_s + dt_s)

    def _draw(self, ml: float) -> float:
        """How much of `ml` is liquid: all of it, until the bottle runs low and the tube draws air too."""
        left_ml = self.bottle_g / self.density_g_per_ml
        if self.bottle_g > self._sputter_g:
            return ml if ml < left_ml else left_ml
        if self._gulp_ml <= 0.0:
            self._gulp_ml = self._rng.uniform(0.2, 1.0)
            wet_odds = self.bottle_g / self._sputter_g if self.bottle_g > _RESIDUE_G else 0.0
            self._gulp_wet = self._rng.random() < wet_odds
        self._gulp_ml -= ml
        return min(ml, left_ml) if self._gulp_wet else 0.0

    def _plan_drips(self, now_s: float) -> None:
        """Schedule a random number of drops after a stop, one by one (common practice, no source)."""
        if self.tube.wet_at_nozzle:
            at_s = now_s
            for _ in range(self._rng.randint(0, self.spec.tube.max_drips)):
                at_s += self._rng.expovariate(1 / self.spec.tube.drip_spacing_s)
                self._drips_s.append(at_s)

    def _drip(self) -> float:
        density = self.density_g_per_ml
        return self.tube.drip(self._drop_g * self._rng.uniform(0.7, 1.1) / density) * density
