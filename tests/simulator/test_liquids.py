"""Densities and viscosities against published tables.

Marks: [D] read in the document, [D2] in a transcription, [L] computed with a library.
"""

import io
import tokenize
from collections.abc import Callable
from pathlib import Path

import pytest
from iapws import IAPWS95
from iapws._iapws import _Tension

from tarewell_sim.liquids import ethanol, sucrose, water
from tarewell_sim.specs import EthanolWaterSpec, GivenSpec, SucroseSpec, WaterSpec

COEFFICIENTS = Path(__file__).with_name("r22_coefficients.txt")


@pytest.mark.parametrize("temperature_c", [1, 4, 10, 20, 30, 40])
def test_density_of_water_agrees_with_iapws_95(temperature_c: float) -> None:
    # iapws library, IAPWS-95 [L]; Tanaka differs from it by 0.0012 kg/m3 at most
    published = IAPWS95(T=273.15 + temperature_c, P=0.101325).rho
    assert 1000 * water.density_g_per_ml(temperature_c) == pytest.approx(published, abs=0.002)


def test_viscosity_and_surface_tension_of_water_agree_with_iapws() -> None:
    # iapws library [L], 20 degC
    assert pytest.approx(1000 * IAPWS95(T=293.15, P=0.101325).mu, abs=1e-4) == water.VISCOSITY_20_MPA_S
    assert pytest.approx(_Tension(293.15), abs=1e-4) == water.SURFACE_TENSION_20_N_PER_M


def test_r22_coefficients_digit_by_digit() -> None:
    """A wrong last digit may change the density by less than any table shows, so the text is compared."""
    published = [line.split()[2] for line in COEFFICIENTS.read_text().splitlines() if line[0] != "#"]
    assert len(published) == 12 + 6 + 11 + 10 + 9 + 4 + 2
    source = Path(ethanol.__file__).read_text("utf-8")
    source = source[source.index("\n_A = (") : source.index("# Mass percent of ethanol")]
    written, sign = [], ""
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.NUMBER:
            written.append(sign + token.string.upper())
        sign = "-" if token.string == "-" else ""
    assert written == published


@pytest.mark.parametrize(
    ("percent", "temperature_c", "kg_per_m3"),
    [
        (31, 13, 956.42),  # OIML R 22 table I [D2]
        (88, -10, 848.57),  # OIML R 22 table I [D2]
        (0, 0, 999.84),  # OIML R 22 table I [D2]
        (0, 10, 999.70),  # OIML R 22 table I [D2]
        (0, 20, 998.20),  # OIV table [D2]
        (100, 20, 789.24),  # OIML R 22 printed erratum [D2]
        (100, 40, 771.93),  # OIML R 22 table I [D2]
        (4, 20, 991.03),  # Perry, 7th ed., g/ml to five digits [D2]
        (8, 20, 984.78),  # Perry [D2]
        (12, 20, 979.10),  # Perry [D2]
    ],
)
def test_density_of_ethanol_water(percent: float, temperature_c: float, kg_per_m3: float) -> None:
    assert 1000 * ethanol.density_g_per_ml(percent / 100, temperature_c) == pytest.approx(kg_per_m3, abs=0.05)


@pytest.mark.parametrize(
    ("percent_vol", "percent_mass"),
    [(43, 36.0), (40, 33.2996), (0, 0), (100, 100)],
    # 36 % mass = 43 % vol: OIML R 22 table [D2]; 40 % vol from the coefficients [L]
)
def test_strength_by_volume_becomes_mass_fraction(percent_vol: float, percent_mass: float) -> None:
    assert 100 * ethanol.mass_fraction(percent_vol) == pytest.approx(percent_mass, abs=0.015)


@pytest.mark.parametrize(
    ("percent_mass", "mpa_s"),
    [(10, 1.529), (20, 2.165), (30, 2.660), (40, 2.876), (45, 2.890), (50, 2.859), (60, 2.679)],
    # Melinder's fluids in CoolProp 8.0.0 [L], independent of Bingham and Jackson
)
def test_viscosity_of_ethanol_water(percent_mass: float, mpa_s: float) -> None:
    assert ethanol.viscosity_20_mpa_s(percent_mass / 100) == pytest.approx(mpa_s, rel=0.02)


def test_viscosity_of_ethanol_water_meets_the_ends_of_its_table() -> None:
    # Bingham and Jackson in Simmonds, Alcohol [D2]
    assert ethanol.viscosity_20_mpa_s(0) == 1.005
    assert ethanol.viscosity_20_mpa_s(1) == 1.200


@pytest.mark.parametrize(
    ("brix", "kg_per_m3"),
    [(0, 998.25), (10, 1038.15), (30, 1126.93), (50, 1229.49), (65, 1316.35), (70, 1347.14)],
    # NBS Circular 457 table 2, converted [D2]; the two families differ by up to 0.4 kg/m3
)
def test_density_of_sucrose_solutions(brix: float, kg_per_m3: float) -> None:
    assert 1000 * sucrose.density_g_per_ml(brix) == pytest.approx(kg_per_m3, abs=0.4)


@pytest.mark.parametrize(
    ("temperature_c", "kg_per_m3"), [(10, 1321.46), (15, 1319.04), (25, 1314.00), (30, 1311.37)]
)
def test_density_of_syrup_with_temperature(temperature_c: float, kg_per_m3: float) -> None:
    # ICUMSA polynomial, 65 degrees Brix [L]
    assert 1000 * sucrose.density_g_per_ml(65, temperature_c) == pytest.approx(kg_per_m3, abs=0.006)


@pytest.mark.parametrize(
    ("brix", "mpa_s"),
    [(30, 3.187), (40, 6.20), (60, 59.8), (65, 147.2)],
    # handbook and Bingham-Jackson equations [D2]
)
def test_viscosity_of_sucrose_solutions(brix: float, mpa_s: float) -> None:
    assert sucrose.viscosity_mpa_s(brix) == pytest.approx(mpa_s, rel=0.03)


def test_a_liquid_is_given_by_kind_or_by_figures() -> None:
    spirit = EthanolWaterSpec(kind="ethanol-water", strength_percent_vol=40).liquid()
    assert spirit.density_g_per_ml == pytest.approx(0.948, abs=5e-4)  # OIML R 22 tables, three digits [D2]
    assert WaterSpec(kind="water", temperature_c=25).liquid().density_g_per_ml == pytest.approx(
        0.99705, abs=1e-5
    )
    assert SucroseSpec(kind="sucrose", brix=65).liquid().viscosity_mpa_s > 50 * spirit.viscosity_mpa_s
    given = GivenSpec(kind="given", density_g_per_ml=1.05, viscosity_mpa_s=12).liquid()
    assert (given.density_g_per_ml, given.viscosity_mpa_s) == (1.05, 12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: water.density_g_per_ml(45),
        lambda: ethanol.density_g_per_ml(1.2),
        lambda: ethanol.density_g_per_ml(0.5, 60),
        lambda: ethanol.mass_fraction(101),
        lambda: sucrose.density_g_per_ml(90),
    ],
)
def test_outside_the_tables_is_refused_with_the_cure(call: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="correct"):
        call()
