"""Sucrose solutions: density after the ICUMSA polynomial, viscosity after Génotelle."""

# b[i][k-1] in kg/m³: rho = rho_water(t) + sum b_ik w^k ((t - 20) / 100)^i. From two public programs
# that agree in all but one last digit (b_04).
_B = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)

SURFACE_TENSION_N_PER_M = 0.076
"""Surface tension of a syrup at 20 °C; from memory, used for the size of drops only."""


def _water_kg_per_m3(t: float) -> float:
    """The density of water that belongs to the ICUMSA polynomial (998.203 kg/m³ at 20 °C)."""
    above = (
        999.83952
        + 16.952577 * t
        - 7.9905127e-3 * t**2
        - 46.241757e-6 * t**3
        + 105.84601e-9 * t**4
        - 281.03006e-12 * t**5
    )
    return above / (1 + 16.887236e-3 * t)


def density_g_per_ml(brix: float, temperature_c: float = 20.0) -> float:
    """Density of a sucrose solution; `brix` is the mass percent of sucrose, 0 to 80, at 0 to 60 °C.

    Raises:
        ValueError: a concentration or a temperature outside that range.
    """
    if not 0 <= brix <= 80 or not 0 <= temperature_c <= 60:
        raise ValueError(
            f"syrups are known from 0 to 80 degrees Brix at 0 to 60 °C, got {brix} at {temperature_c} °C; "
            "correct brix or temperature"
        )
    w, reduced = brix / 100, (temperature_c - 20) / 100
    rho = _water_kg_per_m3(temperature_c)
    for i, row in enumerate(_B):
        rho += reduced**i * sum(b * w**k for k, b in enumerate(row, 1))
    return rho / 1000


def viscosity_mpa_s(brix: float, temperature_c: float = 20.0) -> float:
    """Viscosity of a sucrose solution, for 20 to 75 degrees Brix (3 % low for pure water).

    log10 eta = 22.46 N - 0.114 + phi (1.1 + 43.1 N^1.25), N = w / (1900 - 18 w), phi = (30 - t) / (91 + t):
    Génotelle (1978) as given by Mathlouthi and Reiser, "Sucrose" (1995), equation 6.29.
    """
    n = brix / (1900 - 18 * brix)
    phi = (30 - temperature_c) / (91 + temperature_c)
    return float(10 ** (22.46 * n - 0.114 + phi * (1.1 + 43.1 * n**1.25)))
