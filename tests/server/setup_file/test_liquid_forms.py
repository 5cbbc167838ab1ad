import tomllib

import pytest

from tarewell.quantities.density import Origin
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.forms import FormError
from tarewell.setup_file.liquid_forms import LiquidForm

BAR = tomllib.loads(INTERVAL_BAR.read_text("utf-8"))["liquids"]


def form(**fields: object) -> LiquidForm:
    return LiquidForm.model_validate({"name": "Odd Bottle", **fields})


@pytest.mark.parametrize(
    ("fields", "g_per_ml", "origin"),
    [
        # IAPWS-95 and OIML R 22, both at 20 °C: 0.99821 and 0.94805 g/ml
        ({"abv_percent": 0, "sugar_g_per_l": 0}, 0.99821, Origin.WATER),
        ({"abv_percent": 40}, 0.94805, Origin.STRENGTH),
        # ICUMSA SPS-4, table of sucrose solutions at 20 °C, from memory: 50 g in 100 g has 1.2296 g/ml
        ({"brix": 50}, 1.2296, Origin.BRIX),
        ({"density_g_per_ml": 1.03}, 1.03, Origin.ENTERED),
        ({"weighed": {"net_g": 52.5, "volume_ml": 50}}, 1.05, Origin.WEIGHED),
        ({"weighed": {"full_g": 1215, "empty_g": 450, "content_ml": 750}}, 1.02, Origin.WEIGHED),
        ({"density_g_per_ml": 1.05, "density_origin": "weighed"}, 1.05, Origin.WEIGHED),
    ],
)
def test_each_way_to_a_density(fields: dict[str, object], g_per_ml: float, origin: Origin) -> None:
    liquid = form(**fields).liquid("odd-bottle")
    assert liquid.density.g_per_ml == pytest.approx(g_per_ml, abs=1e-4)
    assert liquid.density.origin == origin
    assert liquid.density.uncertainty_g_per_ml > 0


def test_a_liqueur_is_less_certain_than_a_spirit() -> None:
    liqueur = form(abv_percent=24, sugar_g_per_l=260).liquid("a").density
    spirit = form(abv_percent=24).liquid("b").density
    assert liqueur.origin is Origin.STRENGTH_AND_SUGAR
    assert liqueur.uncertainty_g_per_ml > spirit.uncertainty_g_per_ml
    assert liqueur.g_per_ml > spirit.g_per_ml


def test_brix_gives_the_sugar_of_a_litre_too() -> None:
    # 50 g in 100 g at 1.2296 g/ml
    assert form(brix=50).liquid("a").sugar_g_per_l == pytest.approx(614.8, abs=0.1)


@pytest.mark.parametrize(
    ("fields", "pointers"),
    [
        ({}, ["/density_g_per_ml"]),
        ({"abv_percent": 0}, ["/density_g_per_ml"]),
        ({"brix": 30, "density_g_per_ml": 1.1}, ["/brix"]),
        ({"brix": 30, "weighed": {"net_g": 50, "volume_ml": 50}}, ["/weighed"]),
        ({"brix": 30, "abv_percent": 20}, ["/brix"]),
        ({"brix": 30, "sugar_g_per_l": 300}, ["/sugar_g_per_l"]),
        ({"abv_percent": 40, "density_origin": "strength"}, ["/density_origin"]),
        ({"abv_percent": 40, "density_g_per_ml": 0.99, "density_origin": "strength"}, ["/density_origin"]),
        ({"density_g_per_ml": 1.0, "density_uncertainty_g_per_ml": 1.5}, ["/density_uncertainty_g_per_ml"]),
        ({"weighed": {"net_g": 5, "volume_ml": 50}}, ["/weighed"]),
        ({"weighed": {"full_g": 400, "empty_g": 450, "content_ml": 750}}, ["/weighed"]),
        ({"abv_percent": 60, "sugar_g_per_l": 800}, ["/sugar_g_per_l"]),
    ],
)
def test_what_gives_no_density(fields: dict[str, object], pointers: list[str]) -> None:
    with pytest.raises(FormError) as refused:
        form(**fields).liquid("odd-bottle")
    assert [fault.pointer for fault in refused.value.faults] == pointers


@pytest.mark.parametrize("written", BAR.values(), ids=BAR.keys())
def test_written_out_and_read_again_it_is_the_same(written: dict[str, object]) -> None:
    liquid = LiquidForm.model_validate(written).liquid("a")
    assert LiquidForm.of(liquid).liquid("a") == liquid
    again = LiquidForm.model_validate(LiquidForm.of(liquid).model_dump(mode="json"))
    assert again.liquid("a") == liquid
