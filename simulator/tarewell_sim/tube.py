"""The tube between bottle and nozzle: a queue of liquid and air in plug flow."""

from collections import deque
from math import pi

from .liquids import LiquidModel
from .specs import TubeSpec

G_M_PER_S2 = 9.80665
_DUST_ML = 1e-9


class FlowLoss:
    """The share of the swept volume that remains after losses by viscosity, lift and age.

    The suction needed is rho g lift + R q, with R = 128 eta L / (pi d^4) (Hagen-Poiseuille); behind the
    roller the tube's wall opens less the more suction it works against, taken as linear up to
    `recovery_kpa` (assumption). Solved for q: q = q0 (1 - rho g lift / p) / (1 + R q0 / p).
    """

    def __init__(self, spec: TubeSpec, liquid: LiquidModel) -> None:
        recovery_pa = spec.recovery_kpa * 1000
        eta_pa_s = liquid.viscosity_mpa_s / 1000
        resistance = 128 * eta_pa_s * spec.suction_length_m / (pi * (spec.bore_mm / 1000) ** 4)
        lift_pa = liquid.density_g_per_ml * 1000 * G_M_PER_S2 * spec.lift_m
        self._slow = max(0.0, 1 - lift_pa / recovery_pa) * (1 - spec.worn_share)
        self._per_ml_per_s = resistance * 1e-6 / recovery_pa

    def share(self, swept_ml_per_s: float) -> float:
        """Share of the swept volume that actually moves, 0 to 1."""
        return self._slow / (1 + self._per_ml_per_s * abs(swept_ml_per_s))


class Tube:
    """Pieces of liquid and air, from the bottle's end to the nozzle's, always filling the whole volume.

    Mixing and rising bubbles are not modelled.
    """

    def __init__(self, spec: TubeSpec) -> None:
        self.volume_ml = spec.length_m * 100 * pi * (spec.bore_mm / 20) ** 2
        self._pieces: deque[list[float]] = deque([[1.0 if spec.primed else 0.0, self.volume_ml]])

    @property
    def liquid_ml(self) -> float:
        """How much of the volume is liquid."""
        return sum(wet * ml for wet, ml in self._pieces)

    @property
    def wet_at_nozzle(self) -> bool:
        """Whether liquid is near enough to the nozzle to drip (at most 0.5 ml behind it)."""
        wet, ml = self._pieces[-1]
        return wet == 1.0 or (ml < 0.5 and len(self._pieces) > 1)

    def forward(self, drawn_ml: float, air_ml: float) -> float:
        """Push in liquid and air at the bottle's end; returns the liquid that leaves the nozzle, ml."""
        pieces = self._pieces
        if len(pieces) == 1 and pieces[0][0] == 1.0 and air_ml == 0.0:
            return drawn_ml
        for wet, ml in ((1.0, drawn_ml), (0.0, air_ml)):
            if pieces and pieces[0][0] == wet:
                pieces[0][1] += ml
            elif ml > 0.0:
                pieces.appendleft([wet, ml])
        return _take(pieces, -1, drawn_ml + air_ml)

    def backward(self, ml: float) -> float:
        """Draw air in at the nozzle; returns the liquid that goes back into the bottle, ml."""
        self._add_air(ml)
        return _take(self._pieces, 0, ml)

    def drip(self, ml: float) -> float:
        """Let up to `ml` fall from the nozzle, air taking its place; returns the liquid that fell."""
        air = self._pieces.pop()[1] if self._pieces[-1][0] == 0.0 else 0.0
        fell = _take(self._pieces, -1, min(ml, self._pieces[-1][1])) if self._pieces else 0.0
        self._add_air(air + fell)
        return fell

    def _add_air(self, ml: float) -> None:
        if self._pieces and self._pieces[-1][0] == 0.0:
            self._pieces[-1][1] += ml
        elif ml > 0.0:
            self._pieces.append([0.0, ml])


def _take(pieces: deque[list[float]], end: int, ml: float) -> float:
    """Remove `ml` at one end; returns how much of it was liquid. Leaves no rounding residue."""
    liquid = 0.0
    while ml > 0.0 and pieces:
        piece = pieces[end]
        part = piece[1] if piece[1] - ml < _DUST_ML and len(pieces) > 1 else min(ml, piece[1])
        liquid += piece[0] * part
        ml -= part
        piece[1] -= part
        if piece[1] <= 0.0:
            pieces.pop() if end else pieces.popleft()
    return liquid
