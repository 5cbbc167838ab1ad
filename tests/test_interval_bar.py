"""The example set-up and the simulated bar are one bar, though neither program reads the other's file."""

import pytest

from tarewell.quantities.units import SmallMeasures
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.reading import read_setup
from tarewell.setup_file.setup import Setup
from tarewell_sim.scenario import load_scenario
from tarewell_sim.specs import ChannelSpec

SETUP = read_setup(INTERVAL_BAR.read_text("utf-8"), Setup(), SmallMeasures())
BOTTLES = {bottle.channel: bottle for bottle in SETUP.bottles.values() if bottle.channel is not None}
SIMULATED = load_scenario("theatre_bar").channels


def test_every_channel_of_the_set_up_is_simulated() -> None:
    assert [channel.number for channel in SIMULATED] == sorted(BOTTLES) == sorted(SETUP.channels)


@pytest.mark.parametrize("channel", SIMULATED, ids=lambda channel: channel.name)
def test_a_simulated_bottle_is_what_the_set_up_says(channel: ChannelSpec) -> None:
    bottle = BOTTLES[channel.number]
    liquid = SETUP.liquids[bottle.liquid_id]
    assert channel.name == liquid.name
    assert channel.bottle_g == pytest.approx(bottle.content_g, abs=0.5)
    off = channel.liquid.liquid().density_g_per_ml - liquid.serving_density.g_per_ml
    assert abs(off) <= liquid.serving_density.uncertainty_g_per_ml + 1e-5
