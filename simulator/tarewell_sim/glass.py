"""The glass under the nozzle."""

from math import pi


class PlacedGlass:
    """A cylinder; only the simulation knows its contents by channel."""

    def __init__(self, mass_g: float, inner_diameter_mm: float, height_mm: float, contents_g: float) -> None:
        self.mass_g = mass_g
        self.area_m2 = pi * (inner_diameter_mm / 2000) ** 2
        self._volume_ml = self.area_m2 * (height_mm / 1000) * 1e6
        self.contents_g = contents_g
        self.contents_ml = contents_g

    @property
    def level_m(self) -> float:
        """Height of the liquid's surface above the glass's floor, which is at the platform."""
        return self.contents_ml * 1e-6 / self.area_m2

    def pour_in(self, mass_g: float, density_g_per_ml: float) -> float:
        """Add liquid; returns the mass that runs over the rim."""
        kept_ml, room_ml = mass_g / density_g_per_ml, self._volume_ml - self.contents_ml
        if kept_ml > room_ml:
            kept_ml = max(0.0, room_ml)
        kept_g = kept_ml * density_g_per_ml
        self.contents_g += kept_g
        self.contents_ml += kept_ml
        return mass_g - kept_g

    def leak(self, mass_g: float) -> float:
        """Lose liquid through the floor; returns what was lost."""
        lost_g = min(mass_g, self.contents_g)
        if lost_g > 0.0:
            self.contents_ml *= 1 - lost_g / self.contents_g
            self.contents_g -= lost_g
        return lost_g
