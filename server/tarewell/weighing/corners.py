"""The eccentricity test: one load in the middle of each quarter of the platform, one after the other.

No indication may be off by more than the maximum permissible error (OIML R 76-1, 3.6.2 and A.4.7, with a
third of Max). Here that is the one of class III in service, twice that of 3.5.1, Table 6. All from memory.
"""

from dataclasses import dataclass

IN_SERVICE_E = ((500, 1), (2000, 2))
"""The maximum permissible error in e of loads up to so many e."""
BEYOND_E = 3


@dataclass(frozen=True, slots=True)
class CornerCheck:
    """What the scale read with `reference_g` in each corner, g: front left and right, back right and left."""

    reference_g: float
    readings_g: tuple[float, ...]
    e_g: float

    @property
    def errors_g(self) -> tuple[float, ...]:
        """The errors in the same order."""
        return tuple(reading_g - self.reference_g for reading_g in self.readings_g)

    @property
    def limit_e(self) -> int:
        """The maximum permissible error in e."""
        load_e = self.reference_g / self.e_g
        return next((error_e for up_to_e, error_e in IN_SERVICE_E if load_e <= up_to_e), BEYOND_E)

    @property
    def within(self) -> bool:
        """Whether no error is larger, as the scale indicates it: in whole e."""
        return all(round(abs(error_g) / self.e_g) <= self.limit_e for error_g in self.errors_g)
