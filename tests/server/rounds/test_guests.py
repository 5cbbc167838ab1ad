"""The host's limit: what is counted, what is held, and what lets it go on."""

import pytest

from round_steps import HOLD, RESTART, SKIP, START, STOP, begins, ends, glass, now, over, pour, stands, steps
from tarewell.rounds import events as e
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.guests import Served, ServingLimit, counted, why_held
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent

UK_G = 7.8924
"""A UK unit: 10 ml of ethanol at 20 °C, whose density OIML R 22 gives as 789.24 kg/m³."""

LIMIT = ServingLimit(2.0, 4 * 3600.0, UK_G)
SEAT = "seat 14"


def strong(guest: str | None = SEAT) -> Wanted:
    """25 ml of 40 % vol: one UK unit."""
    return Wanted("strong", guest=guest)


def test_the_count_is_of_this_guest_within_the_window() -> None:
    served = [
        Served(SEAT, 100.0, UK_G),
        Served(SEAT, 100.0 + 3600, 0.5 * UK_G),
        Served("seat 15", 200.0, 5 * UK_G),
    ]
    assert counted(served, SEAT, 100.0 + 2 * 3600, LIMIT) == pytest.approx(1.5)
    assert counted(served, SEAT, 100.0 + 4 * 3600, LIMIT) == pytest.approx(0.5)
    assert counted(served, "seat 16", 300.0, LIMIT) == 0.0


@pytest.mark.parametrize(
    ("wanted", "limit", "follows"),
    [
        (strong(), LIMIT, False),
        (strong(), None, True),
        (strong(None), LIMIT, True),
        (Wanted("still", guest=SEAT), LIMIT, True),
    ],
)
def test_what_counts_towards_a_limit_does_not_grow_when_a_dose_misses(
    wanted: Wanted, limit: ServingLimit | None, follows: bool
) -> None:
    bar = steps(wanted, limit=limit)
    bar.feed(stands(200.0 if wanted.recipe_id == "still" else 305.0))
    assert [begun.plan.keep_proportions for begun in bar.of(e.BeginPour)] == [follows]


def test_up_to_the_limit_is_poured_and_beyond_it_is_held() -> None:
    served = [Served(SEAT, 50.0, UK_G)]
    assert why_held(served, SEAT, UK_G, False, 60.0, LIMIT) is None
    told = why_held(served, SEAT, 1.01 * UK_G, False, 60.0, LIMIT)
    assert told is not None
    assert "has had 1.0 standard drinks in 4 h" in told
    assert "limit is 2" in told


def test_a_glass_without_alcohol_is_never_held() -> None:
    full = [Served(SEAT, 50.0, 10 * UK_G)]
    assert why_held(full, SEAT, 0.0, False, 60.0, LIMIT) is None


def test_a_strength_that_nobody_stated_cannot_be_counted() -> None:
    told = why_held([], SEAT, 0.0, True, 60.0, LIMIT)
    assert told is not None
    assert "strength of a liquid" in told


def test_a_round_counts_what_it_delivers_and_holds_the_glass_beyond_the_limit() -> None:
    bar = steps(strong(), strong(), strong(), limit=LIMIT)
    for index, after in enumerate(("awaiting_glass", "awaiting_release")):
        bar.feed(stands(305.0), begins(), ends(23.6, 99.8))
        ended = bar.of(e.GlassEnded)[index]
        assert ended.outcome.delivered.standard_drinks(UK_G) == pytest.approx(1.0, abs=0.01)
        assert bar >> stands(0.0) << now(after, index + 1)
    assert bar >> stands(305.0), "nothing is poured"
    with pytest.raises(UnexpectedRoundEvent, match="hold, skip, stop or the release of the guest"):
        bar.feed(START)
    with pytest.raises(UnexpectedRoundEvent):
        bar.feed(e.Released("seat 15"))
    assert bar >> e.Released(SEAT) << now("awaiting_glass", 2)
    assert bar >> stands(305.0) << pour(2) << now("pouring", 2)


def test_a_held_glass_can_be_skipped_and_the_next_guest_is_served() -> None:
    full = [Served(SEAT, 50.0, 2 * UK_G)]
    bar = steps(strong(), strong("seat 15"), strong(None), limit=LIMIT, served=full)
    assert bar.machine.state is RoundState.AWAITING_RELEASE
    assert bar >> SKIP << glass(0, "skipped") << now("awaiting_glass", 1)


def test_a_round_that_waits_for_a_release_can_be_held_and_stopped() -> None:
    full = [Served(SEAT, 50.0, 2 * UK_G)]
    bar = steps(strong(), limit=LIMIT, served=full)
    assert bar >> HOLD << now("held", 0)
    with pytest.raises(UnexpectedRoundEvent):
        bar.feed(e.Released(SEAT))
    assert bar >> RESTART << now("awaiting_release", 0)
    assert bar >> STOP << glass(0, "stopped") << now("stopped", 0) << over("stopped")


def test_a_release_is_for_one_glass() -> None:
    full = [Served(SEAT, 50.0, 2 * UK_G)]
    bar = steps(strong(), strong(), limit=LIMIT, served=full)
    bar.feed(e.Released(SEAT), stands(305.0), begins(), ends(23.6, 99.8))
    assert bar >> stands(0.0) << now("awaiting_release", 1)


def test_what_a_spoilt_glass_held_counts_too() -> None:
    """Nobody tells the machine what became of it."""
    bar = steps(strong(), limit=LIMIT, served=[Served(SEAT, 50.0, 0.7 * UK_G)])
    bar.feed(stands(305.0), begins(), ends(23.6, state="aborted", cause="no_flow"), RESTART)
    assert bar >> stands(0.0) << now("awaiting_release", 0)


def test_what_is_found_later_in_a_glass_counts_too() -> None:
    """The pour was cut short at 1 g of spirit; when the glass came to rest there were 23.6 g."""
    bar = steps(strong(), limit=LIMIT, served=[Served(SEAT, 50.0, 0.7 * UK_G)])
    bar.feed(stands(305.0), begins("p1"), ends(1.0, state="aborted", cause="link_lost"))
    bar.feed(e.FoundInGlass("p1", 0, 22.6), e.FoundInGlass("p0", 0, 500.0), RESTART)
    assert bar >> stands(0.0) << now("awaiting_release", 0)


def test_what_was_not_there_is_not_counted_in_the_end() -> None:
    bar = steps(strong(), limit=LIMIT, served=[Served(SEAT, 50.0, 0.7 * UK_G)])
    bar.feed(stands(305.0), begins("p1"), ends(23.6, state="aborted", cause="link_lost"))
    bar.feed(e.FoundInGlass("p1", 0, -23.0), RESTART)
    assert bar >> stands(0.0) << now("awaiting_glass", 0)


def test_off_unless_set_and_without_a_guest() -> None:
    full = [Served(SEAT, 50.0, 20 * UK_G)]
    assert steps(strong(), served=full).machine.state is RoundState.AWAITING_GLASS
    assert steps(strong(None), limit=LIMIT, served=full).machine.state is RoundState.AWAITING_GLASS
