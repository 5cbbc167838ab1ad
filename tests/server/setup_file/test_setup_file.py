import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Liquid, Recipe, RecipeDose
from tarewell.quantities.density import of_water
from tarewell.quantities.units import SmallMeasures, parse_amount
from tarewell.records.values import Channel
from tarewell.setup_file.document import json_schema, json_schema_text
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.reading import SetupFaultsError, read_setup
from tarewell.setup_file.setup import Setup
from tarewell.setup_file.writing import write_setup

DOCS = Path(__file__).parents[3] / "docs"
SMALL = SmallMeasures()
BAR = INTERVAL_BAR.read_text("utf-8")


def faults_of(text: str, known: Setup | None = None) -> list[tuple[int, str, str]]:
    with pytest.raises(SetupFaultsError) as refused:
        read_setup(text, known or Setup(), SMALL)
    return [(fault.line, fault.pointer, fault.message) for fault in refused.value.faults]


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_the_example_is_sound_and_half_of_it_holds_no_alcohol() -> None:
    bar = read_setup(BAR, Setup(), SMALL)
    strong = [
        recipe
        for recipe in bar.recipes.values()
        if any(step.liquid_id and bar.liquids[step.liquid_id].abv_percent for step in recipe.steps)
    ]
    assert 2 * len(strong) == len(bar.recipes) == 6
    assert sorted(bar.channels) == list(range(1, 9))
    assert sum(bottle.channel is None for bottle in bar.bottles.values()) == 1


def test_written_and_read_again_the_set_up_and_its_text_are_the_same() -> None:
    bar = read_setup(BAR, Setup(), SMALL)
    text = write_setup(bar)
    again = read_setup(text, Setup(), SMALL)
    assert again == bar
    assert write_setup(again) == text


NAMES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=300).filter(
    lambda name: name == name.strip()
)


@given(name=NAMES, note=NAMES, what=NAMES)
def test_names_of_any_kind_survive(name: str, note: str, what: str) -> None:
    liquid = Liquid("water", name, of_water(), abv_percent=0.0, sugar_g_per_l=0.0, note=note)
    dose = RecipeDose("water", "2 parts", parse_amount("2 parts"))
    recipe = Recipe("odd", name, (dose, HandStep(Hand.OTHER, what)), note=note)
    setup = Setup({"water": liquid}, {}, {"odd": recipe}, {1: Channel(1, "water", name)}, {})
    assert read_setup(write_setup(setup), Setup(), SMALL) == setup


def test_every_fault_is_told_at_once_with_line_and_path() -> None:
    text = BAR
    for right, wrong in (
        ("brix = 65", "brix = 120"),
        ("abv_percent = 40", "abv_percent = 110"),
        ("brim_ml = 210", "brim_ml = 20"),
        ('"3/4 oz"', '"3/4 pint"'),
        (
            '"limelight", amount = "1 part" },\n    { liquid_id = "gallery',
            '"moonlight", amount = "1 part" },\n    { liquid_id = "gallery',
        ),
        ('name = "Long Overture"\n', ""),
        ("channel = 8", "channel = 7"),
        ("full_g = 765", "full_g = 765\ncolour = 3"),
    ):
        assert right in text
        text = text.replace(right, wrong, 1)
    found = faults_of(text)
    places = {(line, pointer) for line, pointer, _ in found}
    assert {
        (line_of(text, "brix = 120"), "/liquids/dress-circle-syrup/brix"),
        (line_of(text, "abv_percent = 110"), "/liquids/footlight-spirit/abv_percent"),
        (line_of(text, "headroom_ml = 30"), "/glasses/short-glass/headroom_ml"),
        (line_of(text, '"3/4 pint"'), "/recipes/matinee-fizz/steps/1/amount"),
        (line_of(text, '"moonlight"'), "/recipes/curtain-up/steps/2/liquid_id"),
        (line_of(text, "[recipes.long-overture]"), "/recipes/long-overture/name"),
        (line_of(text, "colour = 3"), "/bottles/overture-1/colour"),
    } == places
    assert found == sorted(found)
    assert all(message for _, _, message in found)


def test_a_fault_in_a_part_hides_nothing_that_it_names_in_vain() -> None:
    text = """format = 1
[recipes.mist]
name = "Mist"
glass_id = "goblet"
steps = [
  { liquid_id = "moonlight", amount = "0 parts" },
  { liquid_id = "Moon Light", amount = "1 part" },
]
[bottles.mist-1]
liquid_id = "moonlight"
full_g = -1
"""
    assert [(line, pointer) for line, pointer, _ in faults_of(text)] == [
        (4, "/recipes/mist/glass_id"),
        (6, "/recipes/mist/steps/0/liquid_id"),
        (7, "/recipes/mist/steps/1/liquid_id"),
        (10, "/bottles/mist-1/liquid_id"),
        (11, "/bottles/mist-1/full_g"),
    ]


def test_two_bottles_on_one_channel() -> None:
    text = BAR.replace("channel = 8", "channel = 7")
    found = faults_of(text)
    taken = {fault[:2]: fault[2] for fault in found}
    message = taken[line_of(BAR, "channel = 8"), "/bottles/overture-1/channel"]
    assert "the bottle curtain-1 is already mounted on channel 7" in message


def test_what_is_known_already_need_not_be_in_the_file() -> None:
    bar = read_setup(BAR, Setup(), SMALL)
    step = '{ liquid_id = "house-water", amount = "9 cl" }'
    more = f'format = 1\n[recipes.plain]\nname = "Plain"\nsteps = [{step}]\n'
    assert list(read_setup(more, bar, SMALL).recipes) == ["plain"]
    assert [fault[:2] for fault in faults_of(more)] == [(4, "/recipes/plain/steps/0/liquid_id")]


def test_a_bottle_that_would_hang_beside_a_known_one_is_a_fault() -> None:
    bar = read_setup(BAR, Setup(), SMALL)
    more = 'format = 1\n[bottles.water-2]\nliquid_id = "house-water"\nfull_ml = 500\nchannel = 1\n'
    assert [fault[:2] for fault in faults_of(more, bar)] == [(5, "/bottles/water-2/channel")]


@pytest.mark.parametrize(
    ("text", "line", "pointer"),
    [
        ("", 1, "/format"),
        ("format = 2", 1, "/format"),
        ("format = 1\ncolour = 3", 2, "/colour"),
        ("format = 1\nliquids = 3", 2, "/liquids"),
        ("format = 1\n[liquids.House]\nname = 'x'\nbrix = 3", 2, "/liquids/House"),
        ("format = 1\n[channels.9]\nname = 'x'", 2, "/channels/9"),
        ("format = 1\n\n[liquids", 3, ""),
        ('format = 1\n[liquids.a]\nname = "x', 3, ""),
        ("format = 1\nformat = 1", 2, ""),
    ],
)
def test_what_is_no_set_up(text: str, line: int, pointer: str) -> None:
    assert [fault[:2] for fault in faults_of(text)] == [(line, pointer)]


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("[" * 5000 + "]" * 5000, "more than 32"),
        ("{a=" * 40 + "1" + "}" * 40, "more than 32"),
        ("9" * 5000, "more than 1000 characters"),
    ],
)
def test_what_no_reader_should_be_given_is_a_fault_with_its_line(value: str, told: str) -> None:
    ((line, pointer, message),) = faults_of(f"format = 1\n[glasses.beaker]\nbrim_ml = {value}\n")
    assert (line, pointer) == (3, "")
    assert told in message


def test_a_key_of_too_many_parts_is_a_fault_with_its_line() -> None:
    ((line, _, message),) = faults_of("format = 1\nliquids." + ".".join("a" * 20000) + " = 1\n")
    assert line == 2
    assert "more than 32" in message


def test_long_and_nested_text_in_quotes_is_only_text() -> None:
    note = "[{." * 600
    text = f"format = 1\n[recipes.mist]\nname = 'Mist'\nsteps = []\nnote = \"{note}\" # {note}\n"
    assert [pointer for _, pointer, _ in faults_of(text)] == ["/recipes/mist/steps"]


def test_markup_in_a_key_is_shown_in_its_path() -> None:
    assert faults_of("format = 1\n[liquids.'<b>']\nbrix = 3\nname = 'x'")[0][:2] == (2, "/liquids/<b>")


def test_the_schema_is_one_and_is_the_published_one() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert (DOCS / "setup.schema.json").read_text("utf-8") == json_schema_text()


def test_the_schema_takes_what_the_program_takes() -> None:
    validator = jsonschema.Draft202012Validator(json_schema())
    validator.validate(tomllib.loads(BAR))
    validator.validate(tomllib.loads(write_setup(read_setup(BAR, Setup(), SMALL))))


@pytest.mark.parametrize(
    "wrong",
    [
        {"format": 2},
        {"format": 1, "colour": 3},
        {"format": 1, "liquids": {"House": {"name": "x"}}},
        {"format": 1, "liquids": {"a": {"name": "x", "abv_percent": 110}}},
        {"format": 1, "liquids": {"a": {"name": "x", "allergens": ["onions"]}}},
        {"format": 1, "recipes": {"a": {"name": "x", "steps": []}}},
        {"format": 1, "recipes": {"a": {"name": "x", "steps": [{"amount": "1 part"}]}}},
        {"format": 1, "channels": {"9": {"name": "x"}}},
    ],
)
def test_the_schema_refuses_what_the_program_refuses(wrong: dict[str, object]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(wrong, json_schema(), jsonschema.Draft202012Validator)
    with pytest.raises(SetupFaultsError):
        read_setup(tomli_w.dumps(wrong), Setup(), SMALL)


def test_the_published_schema_is_json() -> None:
    assert json.loads(json_schema_text())["$schema"] == "https://json-schema.org/draft/2020-12/schema"
