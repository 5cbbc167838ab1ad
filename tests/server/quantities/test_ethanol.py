"""OIML R 22 against its tables and older data. Marks: [D2] read in a transcription, [L] computed from the
coefficients elsewhere."""

import io
import tokenize
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.quantities import ethanol
from tarewell.quantities.errors import QuantityError

# Four transcriptions of the published table agree in all 54 coefficients.
COEFFICIENTS = Path(__file__).parents[2] / "simulator" / "r22_coefficients.txt"


def test_coefficients_digit_by_digit() -> None:
    """A wrong last digit may change the density by less than any table shows, so the text is compared."""
    published = [line.split()[2] for line in COEFFICIENTS.read_text().splitlines() if line[0] != "#"]
    assert len(published) == 12 + 6 + 11 + 10 + 9 + 4 + 2
    source = Path(ethanol.__file__).read_text("utf-8")
    source = source[source.index("\n_A = (") : source.index("\nCOLDEST_C")]
    written, sign = [], ""
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.NUMBER:
            written.append(sign + token.string.upper())
        sign = "-" if token.string == "-" else ""
    assert written == published


@pytest.mark.parametrize(
    ("percent_mass", "temperature_c", "kg_per_m3"),
    [
        (31, 13, 956.42),  # R 22 table I [D2]
        (88, -10, 848.57),  # R 22 table I [D2]
        (0, 0, 999.84),  # R 22 table I [D2]
        (0, 10, 999.70),  # R 22 table I [D2]
        (0, 20, 998.20),  # OIV table [D2]
        (100, 20, 789.24),  # R 22 printed erratum [D2]
        (100, 40, 771.93),  # R 22 table I [D2]
    ],
)
def test_published_densities(percent_mass: float, temperature_c: float, kg_per_m3: float) -> None:
    density = ethanol.density_g_per_ml(percent_mass / 100, temperature_c)
    assert 1000 * density == pytest.approx(kg_per_m3, abs=0.005)


def test_perry_table_of_independent_data() -> None:
    # Perry, 7th ed., 20 °C, 0 to 12 % by mass, g/ml [D2]; 5e-5 and half of the last printed digit
    perry = (
        0.99823, 0.99636, 0.99453, 0.99275, 0.99103, 0.98938, 0.98780,
        0.98627, 0.98478, 0.98331, 0.98187, 0.98047, 0.97910,
    )  # fmt: skip
    assert [ethanol.density_g_per_ml(p / 100) for p in range(13)] == pytest.approx(perry, abs=5.5e-5)


def test_mass_fraction_whose_density_is_848_4() -> None:
    # R 22: 848.4 kg/m³ at 20 °C is 77.96 % by mass [D2]
    assert 1000 * ethanol.density_g_per_ml(0.7796) == pytest.approx(848.4, abs=0.005)


def test_household_values() -> None:
    # 40 % vol has 0.948 g/ml; 36 % by mass is 43 % vol with 0.943 g/ml [D2]
    assert ethanol.density_g_per_ml(ethanol.mass_fraction(40)) == pytest.approx(0.948, abs=5e-4)
    assert ethanol.density_g_per_ml(0.36) == pytest.approx(0.943, abs=5e-4)
    assert ethanol.strength_percent_vol(0.36) == pytest.approx(43, abs=0.05)


# % vol, % mass, kg/m³ at 20 °C, and at 5, 15 and 25 °C [L].
BY_VOLUME = [
    (0, 0, 998.201, 999.960, 999.096, 997.043),
    (5, 3.9818, 991.055, 992.908, 991.980, 989.858),
    (10, 8.0149, 984.710, 987.020, 985.782, 983.373),
    (12, 9.6410, 982.355, 984.951, 983.516, 980.934),
    (15, 12.0929, 978.971, 982.107, 980.298, 977.394),
    (20, 16.2135, 973.557, 977.856, 975.238, 971.651),
    (25, 20.3812, 968.098, 973.779, 970.197, 965.805),
    (30, 24.6071, 962.211, 969.328, 964.744, 959.517),
    (35, 28.9072, 955.586, 964.038, 958.526, 952.521),
    (37.5, 31.0908, 951.936, 960.978, 955.057, 948.706),
    (40, 33.2996, 948.045, 957.615, 951.329, 944.665),
    (43, 35.9865, 943.057, 953.172, 946.509, 939.521),
    (45, 37.8011, 939.542, 949.968, 943.092, 935.916),
    (50, 42.4257, 930.142, 941.176, 933.886, 926.334),
    (60, 52.0884, 909.115, 920.869, 913.093, 905.075),
    (70, 62.3861, 885.562, 897.780, 889.690, 881.374),
    (80, 73.4800, 859.270, 871.868, 863.520, 854.970),
    (90, 85.6646, 829.182, 842.011, 833.499, 824.820),
    (95, 92.4076, 811.380, 824.236, 815.698, 807.034),
    (96, 93.8384, 807.420, 820.272, 811.734, 803.081),
    (100, 100, 789.239, 801.991, 793.506, 784.954),
]


@pytest.mark.parametrize(("percent_vol", "percent_mass", "at_20", "at_5", "at_15", "at_25"), BY_VOLUME)
def test_table_by_volume(
    percent_vol: float, percent_mass: float, at_20: float, at_5: float, at_15: float, at_25: float
) -> None:
    p = ethanol.mass_fraction(percent_vol)
    assert 100 * p == pytest.approx(percent_mass, abs=6e-5)
    densities = [1000 * ethanol.density_g_per_ml(p, t) for t in (20, 5, 15, 25)]
    assert densities == pytest.approx([at_20, at_5, at_15, at_25], abs=6e-4)


@pytest.mark.parametrize(("percent_vol", "g_per_l"), [
    (0, 0),
    (5, 39.462),
    (10, 78.924),
    (12, 94.709),
    (15, 118.386),
    (20, 157.848),
    (25, 197.310),
    (30, 236.772),
    (35, 276.234),
    (37.5, 295.965),
    (40, 315.696),
    (43, 339.373),
    (45, 355.158),
    (50, 394.620),
    (60, 473.543),
    (70, 552.467),
    (80, 631.391),
    (90, 710.315),
    (95, 749.777),
    (96, 757.670),
    (100, 789.239),
])  # fmt: skip
def test_grams_of_ethanol_in_a_litre(percent_vol: float, g_per_l: float) -> None:
    p = ethanol.mass_fraction(percent_vol)
    assert 1000 * p * ethanol.density_g_per_ml(p) == pytest.approx(g_per_l, abs=6e-4)  # [L]


def test_per_cent_by_mass_is_not_per_cent_by_volume() -> None:
    # the tables by mass and by volume beside each other, 12.9 kg/m³ apart at 40 % [L]
    by_mass, by_volume = ethanol.density_g_per_ml(0.4), ethanol.density_g_per_ml(ethanol.mass_fraction(40))
    assert 1000 * (by_volume - by_mass) == pytest.approx(948.045 - 935.145, abs=2e-3)


def test_pure_ethanol_agrees_with_an_equation_of_state() -> None:
    # CoolProp library at 101 325 Pa [L]; 789.42 against R 22's 789.24 kg/m³ at 20 °C; it takes two
    # seconds to load
    from CoolProp.CoolProp import PropsSI

    for temperature_c in (0, 10, 20, 30, 40):
        by_state = PropsSI("D", "T", 273.15 + temperature_c, "P", 101325, "Ethanol")
        assert 1000 * ethanol.density_g_per_ml(1, temperature_c) == pytest.approx(by_state, abs=0.4)


@pytest.mark.parametrize(
    ("temperature_c", "kg_per_m3"),
    [
        (0, 999.83693),
        (4, 999.96881),
        (5, 999.96041),
        (10, 999.69541),
        (15, 999.09567),
        (18, 998.59223),
        (20, 998.20123),
        (22, 997.76807),
        (25, 997.04289),
        (30, 995.64540),
        (35, 994.02962),
        (40, 992.21349),
    ],
)
def test_the_water_of_r22(temperature_c: float, kg_per_m3: float) -> None:
    assert 1000 * ethanol.density_g_per_ml(0, temperature_c) == pytest.approx(kg_per_m3, abs=6e-6)  # [L]


# % mass, kg/m³ at 20 °C, % vol [L].
BY_MASS = [
    (5, 989.378, 6.268),
    (10, 981.848, 12.440),
    (20, 968.607, 24.545),
    (30, 953.784, 36.255),
    (40, 935.145, 47.395),
    (50, 913.771, 57.889),
    (60, 891.098, 67.744),
    (70, 867.611, 76.951),
    (80, 843.386, 85.489),
    (90, 817.883, 93.266),
]


@pytest.mark.parametrize(("percent_mass", "kg_per_m3", "percent_vol"), BY_MASS)
def test_table_by_mass(percent_mass: float, kg_per_m3: float, percent_vol: float) -> None:
    assert 1000 * ethanol.density_g_per_ml(percent_mass / 100) == pytest.approx(kg_per_m3, abs=6e-4)
    assert ethanol.strength_percent_vol(percent_mass / 100) == pytest.approx(percent_vol, abs=6e-4)


@given(st.floats(0, 100))
def test_strength_to_mass_fraction_and_back(percent_vol: float) -> None:
    assert ethanol.strength_percent_vol(ethanol.mass_fraction(percent_vol)) == pytest.approx(
        percent_vol, abs=1e-9
    )


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_ethanol_is_never_weaker(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert ethanol.strength_percent_vol(low) <= ethanol.strength_percent_vol(high) + 1e-12


@pytest.mark.parametrize("percent_vol", [110, -0.1, float("nan")])
def test_strength_that_cannot_be(percent_vol: float) -> None:
    with pytest.raises(QuantityError, match=r"from 0 to 100 % vol, got .* % vol; correct it"):
        ethanol.mass_fraction(percent_vol)


@pytest.mark.parametrize(("p", "temperature_c"), [(0.4, -20.1), (0.4, 40.1), (1.01, 20), (-0.01, 20)])
def test_outside_the_formula(p: float, temperature_c: float) -> None:
    with pytest.raises(QuantityError, match="must be from"):
        ethanol.density_g_per_ml(p, temperature_c)
