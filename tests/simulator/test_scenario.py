"""Scenario files: what is read, and what a mistake is answered with."""

from pathlib import Path

import pytest

from tarewell_sim.scenario import ScenarioError, built_in, load_scenario

CHANNEL = """
[[channels]]
number = 1
name = "Stage Water"
liquid = { kind = "water" }
pump = { rated_rpm = 200, ml_per_rev = 2.0 }
"""


@pytest.mark.parametrize("name", sorted(built_in()))
def test_built_in_scenarios_are_sound(name: str) -> None:
    assert load_scenario(name).title


def test_the_theatre_bar_is_what_it_claims() -> None:
    bar = load_scenario("theatre_bar")
    assert (bar.board.id, bar.board.abilities, bar.board.display) == ("foyer-01", "rvk", "20x4")
    assert [channel.number for channel in bar.channels] == list(range(1, 9))


def test_a_file_is_read_by_its_path(tmp_path: Path) -> None:
    file = tmp_path / "small.toml"
    file.write_text(CHANNEL)
    assert load_scenario(file).channels[0].name == "Stage Water"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (CHANNEL + "rated_rpn = 3\n", ["channels[1]", "unknown key 'rated_rpn'"]),
        (CHANNEL.replace("rated_rpm", "rated_rpn"), ["channels[1].pump", "did you mean 'rated_rpm'?"]),
        ("[bord]\n" + CHANNEL, ["top level", "unknown key 'bord'; did you mean 'board'?"]),
        ("[scale.adc]\nrate_hz = 50\n" + CHANNEL, ["scale.adc.rate_hz", "10 or 80", "got 50"]),
        (CHANNEL.replace('"water"', '"tea"'), ["channels[1].liquid", "'water', 'ethanol-water'"]),
        (
            CHANNEL.replace('"water"', '"water", temprature_c = 3'),
            ["liquid", "did you mean 'temperature_c'?"],
        ),
        (CHANNEL.replace('"water"', '"water", temperature_c = 60'), ["temperature_c", "40", "got 60"]),
        (CHANNEL.replace("number = 1\n", ""), ["channels[1].number", "required"]),
        (CHANNEL + CHANNEL, ["channel 1 is described twice"]),
        ("[board]\nchannels = 2\n" + CHANNEL.replace("= 1", "= 3"), ["channel 3", "the board has 2"]),
        ("title = 'none'\n", ["channels", "required"]),
        (CHANNEL + "[[disturbances]]\nat_s = 1\ndo = 'bmp'\n", ["disturbances[1]", "did you mean 'bump'?"]),
        (
            CHANNEL + "[[disturbances]]\nat_s = 1\ndo = 'hand'\nargs = { force_n = 2 }\n",
            ["disturbances[1]", "hand needs seconds"],
        ),
        ("title = \n", ["not valid TOML", "line 1"]),
    ],
)
def test_a_mistake_names_file_key_and_cure(tmp_path: Path, text: str, says: list[str]) -> None:
    file = tmp_path / "wrong.toml"
    file.write_text(text)
    with pytest.raises(ScenarioError) as caught:
        load_scenario(file)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    assert message.startswith(str(file))
    for part in says:
        assert part in message


def test_no_such_file_lists_the_built_in_ones() -> None:
    with pytest.raises(ScenarioError, match="theatre_bar"):
        load_scenario("theater_bar")
