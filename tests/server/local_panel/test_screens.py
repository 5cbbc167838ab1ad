"""Names that people write, on a display that knows 95 characters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tarewell.local_panel.screens import bar, fit, printable, spread, wrap


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Crème de Rhubarbe", "Creme de Rhubarbe"),
        ("Weißer Vorhang", "Weisser Vorhang"),
        ("Rødgrød Smørrebrød Æble", "Rodgrod Smorrebrod AEble"),
        ("“Entr’acte” – No. ½", '"Entr\'acte" - No. 1?2'),
        ("Fizz 🎭", "Fizz ?"),
        ("Fizz ❤️", "Fizz ?"),
        ("お茶", "??"),
        ("5 * 20 ml > all", "5 + 20 ml ] all"),
        ("<b>Act II</b>", "<b]Act II</b]"),
        ("two\nlines\t and\u00a0more ", "two lines and more"),
        ("bell\x07", "bell?"),
        ("", ""),
    ],
)
def test_a_name_in_the_displays_characters(name: str, shown: str) -> None:
    assert printable(name) == shown


@given(st.text())
def test_nothing_but_printable_ascii_and_no_frame_end(text: str) -> None:
    shown = printable(text)
    assert all(" " <= char <= "~" and char not in "*>" for char in shown)
    assert printable(shown) == shown


@pytest.mark.parametrize(
    ("text", "width", "shown"),
    [("Gallery", 7, "Gallery"), ("Gallery", 6, "Galle~"), ("Gallery", 1, "~"), ("Gallery", 0, "")],
)
def test_a_long_text_is_cut_with_a_mark(text: str, width: int, shown: str) -> None:
    assert fit(text, width) == shown


def test_the_right_end_of_a_line_stays_whole() -> None:
    assert spread("Gallery Juice", "23 ml", 16) == "Gallery J~ 23 ml"
    assert spread("Juice", "23 ml", 16) == "Juice      23 ml"
    assert spread("Juice", "23 ml", 5) == "23 ml"


@given(st.text(alphabet="ab -", max_size=60), st.integers(1, 20))
def test_wrapping_loses_nothing(text: str, width: int) -> None:
    text = printable(text)
    lines = wrap(text, width)
    assert lines
    assert all(len(line) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(
    ("share", "shown"), [(0.0, "...."), (0.5, "##.."), (1.0, "####"), (-3.0, "...."), (7.0, "####")]
)
def test_a_bar(share: float, shown: str) -> None:
    assert bar(share, 4) == shown
