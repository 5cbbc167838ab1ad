"""Lines are compared with what the standard reader finds: the same paths, each on the line that names it."""

import tomllib
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from tarewell.setup_file.lines import Path, lines_of

BAR = """\
# the interval bar
format = 1

[liquids.house-water]
name = 'House "Water" # [no comment]'
note = \"\"\"
one
two = 2\"\"\"
allergens = [ # none
]

[recipes]
"green room".steps = [
  { liquid_id = "cordial", amount = "2 parts" },  # first
  # then
  { liquid_id = "water", amount = "5 parts" },
]
[recipes.second-bell]
name.full = "Second Bell"

[[recipes.second-bell.steps]]
amount = "25 ml"

[[recipes.second-bell.steps]]
amount = 1.5e3
since = 1979-05-27 07:32:00

[recipes.second-bell.steps.more]
"\\u00e4" = 0x1F
"""


def paths(node: Any, path: Path = ()) -> set[Path]:
    """Every table, key and array entry of a document that was read."""
    found = {path} if path else set()
    entries = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return found.union(*(paths(inner, (*path, key)) for key, inner in entries))


def test_every_value_is_found_on_its_line() -> None:
    found = lines_of(BAR)
    assert set(found) == paths(tomllib.loads(BAR))
    assert found[("format",)] == 2
    assert found[("liquids", "house-water")] == 4
    assert found[("liquids", "house-water", "allergens")] == 9
    assert found[("recipes", "green room", "steps", 0, "amount")] == 14
    assert found[("recipes", "green room", "steps", 1)] == 16
    assert found[("recipes", "green room", "steps", 1, "amount")] == 16
    assert found[("recipes", "second-bell", "name", "full")] == 19
    assert found[("recipes", "second-bell", "steps", 1)] == 24
    assert found[("recipes", "second-bell", "steps", 1, "since")] == 26
    assert found[("recipes", "second-bell", "steps", 1, "more", "ä")] == 29


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "a = 1",
        "a = 1\r\nb = [1,\r\n2]\r\n",
        'a = """"two quotes"""""',
        "a = ''''''\nb = '''x''''",
    ],
)
def test_odd_but_valid_texts(text: str) -> None:
    assert set(lines_of(text)) == paths(tomllib.loads(text))


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
VALUES = st.recursive(
    st.booleans() | st.integers(-9, 9) | st.floats(allow_nan=False) | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=15,
)


@given(document=st.dictionaries(TEXTS, VALUES, max_size=5))
def test_any_document_that_a_writer_writes(document: dict[str, Any]) -> None:
    text = tomli_w.dumps(document, multiline_strings=True)
    found = lines_of(text)
    assert set(found) == paths(tomllib.loads(text))
    rows = text.split("\n")
    for path, line in found.items():
        if isinstance(path[-1], str) and path[-1].isascii() and path[-1].isalnum():
            assert path[-1] in rows[line - 1]
