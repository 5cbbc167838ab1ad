"""Density and viscosity of the bottles' liquids, from published formulas and tables."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LiquidModel:
    """A liquid: density, viscosity, and the surface tension that determines the size of its drops."""

    density_g_per_ml: float
    viscosity_mpa_s: float
    surface_tension_n_per_m: float
