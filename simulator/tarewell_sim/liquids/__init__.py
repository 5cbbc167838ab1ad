"""Density and viscosity of what the bottles hold, from published formulas and tables."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LiquidModel:
    """What flows: density, viscosity, and the surface tension that sizes its drops."""

    density_g_per_ml: float
    viscosity_mpa_s: float
    surface_tension_n_per_m: float
