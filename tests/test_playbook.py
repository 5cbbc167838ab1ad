"""The playbook itself: what it takes, what it refuses, and what it says then."""

import runpy
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from playbook import After, Playbook, Some, Wait, take_unplayed


@dataclass(frozen=True)
class Rung:
    """Somebody rings for the curtain."""

    times: int = 1


@dataclass(frozen=True)
class Passed:
    """The time that was asked for is over."""


@dataclass(frozen=True)
class Bell:
    """The bell sounds."""

    ring: int
    at_s: float = 0.0


@dataclass(frozen=True)
class Silence:
    """Nothing more will sound."""

    last: Bell


@dataclass
class Foyer:
    """Rings as often as it is told to, and falls silent 3 s after each ring."""

    rings: int = 0
    wakeup_s: float | None = None
    heard: list[object] = field(default_factory=list)

    def handle(self, event: object, now_s: float) -> list[object]:
        self.heard.append(event)
        match event:
            case Rung(times):
                self.wakeup_s = now_s + 3.0
                self.rings += times
                return [Bell(self.rings - times + n, now_s) for n in range(1, times + 1)]
            case Passed():
                self.wakeup_s = None
                return [Silence(Bell(self.rings))]
            case _:
                raise ValueError("no such event")


def book() -> Playbook[Foyer]:
    return Playbook(Foyer(), tick=Passed())


def told(script: Playbook[Foyer]) -> list[str]:
    with pytest.raises(AssertionError) as refused:
        bool(script)
    return str(refused.value).splitlines()


def test_events_and_their_effects_in_order_and_on_from_there() -> None:
    foyer = book()
    assert foyer >> Rung() << Bell(1, 101.0) >> After(0.5, Rung(2)) << Bell(2, 101.5) << Bell(3, 101.5)
    assert foyer.machine.rings == 3
    assert foyer.feed(Rung(), Rung()) == [Bell(4, 102.5), Bell(5, 103.5)]
    assert foyer >> Rung() << Bell(6, 104.5)
    assert [bell.ring for bell in foyer.of(Bell)] == [1, 2, 3, 4, 5, 6]


def test_a_difference_shows_the_script_up_to_there_and_the_fields() -> None:
    script = book() >> Rung() << Bell(1, 101.0) >> Rung(3) << Bell(2, 102.0) << Bell(3) << Bell(4, 102.0)
    assert told(script) == [
        "the machine did something else (- expected, + came):",
        "   >> Rung(times=1)  at 101 s",
        "   << Bell(ring=1, at_s=101.0)",
        "   >> Rung(times=3)  at 102 s",
        "   << Bell(ring=2, at_s=102.0)",
        " - << Bell(ring=3, at_s=0.0)",
        " ?      at_s: 0.0 expected, 102.0 came",
        " + << Bell(ring=3, at_s=102.0)",
        "   << Bell(ring=4, at_s=102.0)",
    ]


def test_an_effect_too_few_too_many_or_in_another_order_is_a_difference() -> None:
    one, two = Some(Bell, ring=1), Some(Bell, ring=2)
    assert told(book() >> Rung())[2:] == [" + << Bell(ring=1, at_s=101.0)"]
    assert told(book() >> Rung() << one << two)[-1] == " - << Some(Bell, ring=2)"
    assert told(book() >> Rung(2) << one)[-1] == " + << Bell(ring=2, at_s=101.0)"
    assert " ?      ring: 2 expected, 1 came" in told(book() >> Rung(2) << two << one)
    assert told(book() >> Rung() << Silence(Bell(1)))[2:] == [
        " - << Silence(last=Bell(ring=1, at_s=0.0))",
        " + << Bell(ring=1, at_s=101.0)",
    ]


def test_what_comes_after_a_difference_is_not_played() -> None:
    foyer = book()
    told(foyer >> Rung() >> Rung())
    assert foyer.machine.rings == 1


def test_a_placeholder_takes_what_comes_and_stands_for_it_from_then_on() -> None:
    bell, last = Some(Bell, ring=1), Some(Bell)
    foyer = book()
    with pytest.raises(ValueError, match="has not come yet"):
        bell()
    assert foyer >> Rung() << bell >> Wait(3.0) << Silence(last)
    assert (bell().at_s, last().ring) == (101.0, 1)
    assert told(foyer >> Rung() << bell)[2] == " - << Bell(ring=1, at_s=101.0)"


def test_a_placeholder_stands_in_for_a_value_in_later_events() -> None:
    number = Some(int)
    foyer = book()
    assert foyer >> Rung(2) << Some(Bell, ring=1) << Some(Bell, ring=number)
    foyer.feed(Rung(number))
    assert foyer.machine.heard == [Rung(2), Rung(2)]


def test_one_placeholder_twice_is_the_same_thing_twice() -> None:
    same = Some(Bell)
    assert told(book() >> Rung(2) << same << same)[-1] == " + << Bell(ring=2, at_s=101.0)"


def test_a_placeholder_with_a_misspelt_field_is_refused_at_once() -> None:
    with pytest.raises(TypeError, match="Bell has no field rings"):
        Some(Bell, rings=1)


def test_a_machine_is_woken_when_it_wants_to_be_while_time_passes() -> None:
    foyer = book()
    assert foyer >> Rung() << Some(Bell) >> Wait(2.9) >> Wait(0.1) << Some(Silence) >> Wait(60.0)
    assert foyer.now_s == 164.0


def test_a_machine_that_wants_to_be_woken_for_ever_is_named() -> None:
    foyer = Playbook(Foyer(wakeup_s=105.0), tick=Rung(0))
    foyer.machine.handle = lambda event, now_s: []
    with pytest.raises(AssertionError, match=r"at 105\.0 s again"):
        assert foyer >> Wait(10.0)


def test_an_error_of_the_machine_comes_through_and_leaves_no_script_behind() -> None:
    foyer = book()
    with pytest.raises(ValueError, match="no such event"):
        assert foyer >> "applause"
    assert take_unplayed() == []
    assert foyer >> Rung() << Bell(1, 102.0)


def test_a_script_without_events_is_refused() -> None:
    with pytest.raises(ValueError, match="has no event"):
        book() << Bell(1)
    with pytest.raises(ValueError, match="has no events"):
        bool(book())


def test_a_script_that_nobody_asserts_is_told() -> None:
    book() >> Rung(7) << Bell(1)
    assert take_unplayed() == ["   >> Rung(times=7)"]
    assert take_unplayed() == []


def test_it_fails_its_test() -> None:
    conftest = runpy.run_path(str(Path(__file__).with_name("conftest.py")))
    around_a_test = conftest["pytest_runtest_call"]()
    next(around_a_test)
    book() >> Rung(7)
    with pytest.raises(pytest.fail.Exception, match="never asserted:\n   >> Rung"):
        next(around_a_test)
