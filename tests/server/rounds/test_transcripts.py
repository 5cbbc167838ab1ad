"""Rounds as they go, event by event: what is poured, what is waited for, what a command does."""

import pytest

from round_steps import (
    CONFIRM,
    HOLD,
    RESTART,
    SKIP,
    START,
    STOP,
    begins,
    ends,
    glass,
    glasses,
    now,
    over,
    pour,
    stands,
    steps,
    told,
)
from tarewell.rounds import events as e
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent


def test_two_glasses_one_after_the_other() -> None:
    bar = steps("still", "strong")
    assert bar >> stands(0.4)
    assert bar >> stands(201.0) << pour(0) << now("pouring", 0)
    assert bar >> begins()
    assert bar >> ends(149.6) << glass(0, "complete") << now("awaiting_removal", 1)
    assert bar >> stands(350.6)
    assert bar >> stands(0.2) << now("awaiting_glass", 1)
    assert bar >> stands(305.0) << pour(1) << now("pouring", 1)
    bar.feed(begins("p2"))
    assert bar >> ends(23.7, 99.8) << glass(1, "complete") << now("complete", 1) << over("complete")
    assert bar.machine.finished
    plain, strong = (ended.outcome.delivered for ended in bar.of(e.GlassEnded))
    assert plain.ethanol_g == 0
    # 25 ml of 40 % vol hold 10 ml of ethanol, 7.89 g by OIML R 22 (0.78924 g/ml at 20 °C)
    assert strong.ethanol_g == pytest.approx(7.89, abs=0.05)


def test_without_auto_start_each_glass_waits_for_a_start() -> None:
    bar = steps("still", auto_start=False)
    assert bar >> stands(200.0) << now("glass_ready", 0)
    assert bar >> stands(0.1) << now("awaiting_glass", 0)
    bar.feed(stands(200.0))
    assert bar >> stands(300.0) << now("awaiting_glass", 0)
    assert "as for Highball" in bar.machine.progress(bar.now_s).detail
    bar.feed(stands(200.0))
    assert bar >> START << pour(0) << now("pouring", 0)


def test_the_wrong_glass_is_named_once_and_not_poured_into() -> None:
    bar = steps("still")
    assert bar >> stands(305.0) << now("awaiting_glass", 0)
    detail = bar.machine.progress(bar.now_s).detail
    assert "305 g, as for Highball" in detail
    assert "an empty Tumbler of 180 to 220 g is expected" in detail
    assert bar >> stands(305.0)
    assert bar >> stands(0.0) << now("awaiting_glass", 0)
    assert bar.machine.progress(bar.now_s).detail == ""
    assert bar >> stands(200.0) << pour(0) << now("pouring", 0)


def test_steps_by_hand_are_shown_in_their_turn_and_confirmed() -> None:
    bar = steps("on-ice")
    assert bar >> stands(200.0) << now("by_hand", 0)
    hand = bar.machine.progress(bar.now_s).hand
    assert hand is not None
    assert (hand.step.what, hand.mass_g) == ("ice cubes", 60.0)
    assert bar >> stands(0.0), "the glass may be taken away for it"
    assert bar >> CONFIRM << now("awaiting_glass", 0)
    assert bar >> stands(0.0)
    assert bar >> stands(258.0) << pour(0, leg=1) << now("pouring", 0)
    bar.feed(begins())
    assert bar >> ends(119.5) << now("by_hand", 0)
    assert bar >> CONFIRM << glass(0, "complete") << now("complete", 0) << over("complete")


def test_two_steps_by_hand_in_a_row_have_a_clock_each() -> None:
    bar = steps("dressed")
    bar.feed(stands(200.0), begins(), ends(149.6))
    assert bar.machine.progress(bar.now_s + 4.0).leg_elapsed_s == 4.0
    assert bar.machine.progress(bar.now_s).remaining_s == pytest.approx(5 + 8)  # docs/menu.md
    assert bar.machine.progress(bar.now_s + 4.0).remaining_s == pytest.approx(1 + 8)
    bar.now_s += 60.0
    assert bar >> CONFIRM << now("by_hand", 0)
    assert bar.machine.progress(bar.now_s).leg_elapsed_s == 0.0
    assert bar.machine.progress(bar.now_s + 3.0).remaining_s == pytest.approx(5)


def test_another_glass_does_not_get_the_rest_of_a_drink() -> None:
    bar = steps("split")
    bar.feed(stands(200.0), begins(), ends(59.8), CONFIRM)
    assert bar >> stands(200.0) << now("awaiting_glass", 0)
    assert "the glass that was begun weighed 260 g" in bar.machine.progress(bar.now_s).detail
    assert bar >> stands(258.0) << pour(0, leg=2) << now("pouring", 0)
    bar.feed(begins("p2"))
    assert bar >> ends(60.1) << glass(0, "complete") << now("complete", 0) << over("complete")
    (ended,) = bar.of(e.GlassEnded)
    assert ended.pour_ids == ("p1", "p2")
    assert ended.outcome.delivered.mass_g == pytest.approx(59.8 + 60.1)


def test_hold_and_restart_between_pours() -> None:
    bar = steps("on-ice", "still")
    assert bar >> HOLD << now("held", 0)
    assert bar >> stands(200.0)
    assert bar >> RESTART << now("awaiting_glass", 0)
    bar.feed(stands(200.0))
    assert bar >> HOLD << now("held", 0)
    assert bar >> RESTART << now("by_hand", 0)


def test_hold_holds_the_pour_and_restart_restarts_it() -> None:
    bar = steps("still")
    bar.feed(stands(200.0), begins())
    assert bar >> HOLD << told("p1", "hold") << now("holding", 0)
    assert bar >> e.PourChecked(True) << now("held", 0)
    assert bar >> RESTART << told("p1", "restart") << now("pouring", 0)
    bar.feed(e.PourChecked(False))
    assert bar >> ends(150.0) << glass(0, "complete") << now("complete", 0) << over("complete")


def test_a_hold_before_the_pour_has_begun_reaches_it() -> None:
    bar = steps("still")
    bar.feed(stands(200.0))
    assert bar >> HOLD << now("holding", 0)
    assert bar >> begins() << told("p1", "hold")


def test_a_pour_that_is_done_while_it_is_to_be_held_keeps_the_round_held() -> None:
    bar = steps("on-ice")
    bar.feed(stands(200.0), CONFIRM, stands(260.0), begins(), HOLD)
    assert bar >> ends(120.0) << now("held", 0)
    assert bar >> RESTART << now("by_hand", 0)


def test_an_alarm_that_holds_the_pour_holds_the_round_until_somebody_restarts_either() -> None:
    bar = steps("still")
    bar.feed(stands(200.0), begins())
    assert bar >> e.PourChecked(True) << now("held", 0)
    assert bar >> e.PourChecked(False) << now("pouring", 0)


@pytest.mark.parametrize("state", ["aborted", "stopped"])
def test_a_pour_that_went_wrong_holds_the_round_and_the_glass_is_begun_again(state: str) -> None:
    bar = steps("still", "still")
    bar.feed(stands(200.0), begins())
    assert bar >> ends(31.0, state=state, cause="no_flow") << now("held", 0)
    assert f"ended {state} (no_flow)" in bar.machine.progress(bar.now_s).detail
    assert bar >> RESTART << glass(0, "spoilt") << now("awaiting_removal", 0)
    assert bar >> stands(231.0)
    bar.feed(stands(0.0))
    assert bar >> stands(200.0) << pour(0, attempt=1) << now("pouring", 0)
    bar.feed(begins("p2"))
    assert bar >> ends(150.0) << glass(0, "complete", attempt=1) << now("awaiting_removal", 1)
    assert bar.of(e.GlassEnded)[0].outcome.delivered.mass_g == 31.0
    assert bar.machine.progress(bar.now_s).glasses[0].attempts == 2


def test_a_glass_whose_pour_went_wrong_can_be_skipped() -> None:
    bar = steps("still", "still")
    bar.feed(stands(200.0), begins(), ends(31.0, state="aborted", cause="link_lost"))
    assert bar >> SKIP << glass(0, "skipped") << now("awaiting_removal", 1)


def test_a_held_pour_is_stopped_by_stop_and_by_skip() -> None:
    stopped, skipped = steps("still", "still"), steps("still", "still")
    for bar in (stopped, skipped):
        bar.feed(stands(200.0), begins(), e.PourChecked(True))
    end = ends(20.0, state="stopped", cause="stop")
    assert stopped >> STOP << told("p1", "stop") << now("stopping", 0)
    assert stopped >> end << glass(0, "stopped") << now("stopped", 0) << over("stopped")
    assert skipped >> SKIP << told("p1", "stop") << now("skipping", 0)
    assert skipped >> end << glass(0, "skipped") << now("awaiting_removal", 1)


def test_a_held_pour_that_somebody_ends_leaves_the_glass_to_be_decided() -> None:
    bar = steps("still")
    bar.feed(stands(200.0), begins(), e.PourChecked(True))
    assert bar >> ends(20.0, state="aborted", cause="abort") << now("held", 0)
    assert bar >> RESTART << glass(0, "spoilt") << now("awaiting_removal", 0)


def test_a_skip_is_not_undone_by_what_the_pour_does_meanwhile() -> None:
    bar = steps("still", "still")
    bar.feed(stands(200.0), begins(), SKIP)
    assert bar >> e.PourChecked(True)
    assert bar >> ends(150.0) << glass(0, "skipped") << now("awaiting_removal", 1), "it was whole already"


def test_what_is_wanted_is_said_in_words() -> None:
    bar = steps("on-ice", "still", auto_start=False)

    def prompt() -> str:
        return bar.machine.progress(bar.now_s).prompt

    assert prompt() == "put an empty Tumbler on the platform"
    bar.feed(stands(200.0))
    assert prompt() == "the glass is ready; start"
    bar.feed(START)
    assert prompt() == "by hand: ice cubes (60 g), then confirm"
    bar.feed(CONFIRM)
    assert prompt() == "put the glass back on the platform"
    bar.feed(SKIP)
    assert prompt() == "clear the platform"


def test_skip_before_anything_is_in_the_glass_leaves_it_standing() -> None:
    bar = steps("still", "still", auto_start=False)
    bar.feed(stands(200.0))
    assert bar >> SKIP << glass(0, "skipped") << now("awaiting_glass", 1)
    assert bar >> stands(200.0) << now("glass_ready", 1)
    assert bar >> SKIP << glass(1, "skipped") << now("complete", 1) << over("complete")


def test_skip_during_a_pour_stops_it_first() -> None:
    bar = steps("still", "still")
    bar.feed(stands(200.0), begins())
    assert bar >> SKIP << told("p1", "stop") << now("skipping", 0)
    end = ends(40.0, state="stopped", cause="stop")
    assert bar >> end << glass(0, "skipped") << now("awaiting_removal", 1)


def test_skip_while_the_platform_is_to_be_emptied_leaves_out_the_glass_to_come() -> None:
    bar = steps("still", "still", "still")
    bar.feed(stands(200.0), begins(), ends(150.0))
    assert bar >> SKIP << glass(1, "skipped") << now("awaiting_removal", 2)
    assert bar >> stands(0.0) << now("awaiting_glass", 2)


def test_stop_ends_the_round_at_once_or_after_the_pour() -> None:
    idle = steps("still", "still")
    assert idle >> STOP << glass(0, "stopped") << now("stopped", 0) << over("stopped")
    pouring = steps("still", "still")
    pouring.feed(stands(200.0), begins())
    assert pouring >> STOP << told("p1", "stop") << now("stopping", 0)
    end = ends(70.0, state="stopped", cause="stop")
    assert pouring >> end << glass(0, "stopped") << now("stopped", 0) << over("stopped")
    assert pouring.of(e.GlassEnded)[0].outcome.delivered.mass_g == 70.0


def test_stop_while_the_pour_is_asked_for_stops_it_once_it_has_begun() -> None:
    bar = steps("still")
    bar.feed(stands(200.0))
    assert bar >> STOP << now("stopping", 0)
    assert bar >> begins() << told("p1", "stop")
    refused = steps("still")
    refused.feed(stands(200.0), STOP)
    refusal = e.PourRefused("not calibrated")
    assert refused >> refusal << glass(0, "stopped") << now("stopped", 0) << over("stopped")


def test_a_pour_that_cannot_begin_holds_the_round_and_is_tried_again() -> None:
    bar = steps("still")
    bar.feed(stands(200.0))
    assert bar >> e.PourRefused("the scale is not calibrated; calibrate it") << now("held", 0)
    assert "not calibrated" in bar.machine.progress(bar.now_s).detail
    assert bar >> RESTART << now("awaiting_glass", 0)
    assert bar >> stands(200.0) << pour(0) << now("pouring", 0)


def test_what_stands_there_from_before_has_to_go_first() -> None:
    bar = steps("still", cleared=False)
    assert bar.machine.state is RoundState.AWAITING_REMOVAL
    assert bar >> stands(200.0)
    assert bar >> stands(0.0) << now("awaiting_glass", 0)


def test_a_pour_keeps_its_proportions_and_knows_what_its_glass_holds() -> None:
    bar = steps("strong")
    bar.feed(stands(305.0))
    (begun,) = bar.of(e.BeginPour)
    assert begun.plan.keep_proportions
    assert begun.plan.glass_holds_g is not None
    assert begun.plan.glass_holds_g > begun.plan.target_g
    assert begun.plan.target_g == pytest.approx(glasses("strong")[0].drink.target_g)


def test_what_was_poured_too_much_is_no_room_for_the_next_pour_to_grow_into() -> None:
    # 60 g, a garnish, 60 g: all that the glass holds beyond the drink is free for either, but only once
    def holds_g(first_g: float) -> float:
        bar = steps("split")
        bar.feed(stands(200.0), begins(), ends(first_g), CONFIRM, stands(200.0 + first_g))
        holds_g = bar.of(e.BeginPour)[1].plan.glass_holds_g
        assert holds_g is not None
        return holds_g

    target_g = glasses("split")[0].drink.doses[1].target_g
    assert holds_g(target_g) - holds_g(target_g + 12.0) == pytest.approx(12.0)
    assert holds_g(target_g - 12.0) == pytest.approx(holds_g(target_g))
    assert holds_g(400.0) == pytest.approx(target_g)


def test_a_command_out_of_place_is_refused_and_changes_nothing() -> None:
    bar = steps("still")
    with pytest.raises(
        UnexpectedRoundEvent, match="awaiting_glass does not take confirm; it takes hold, skip or stop"
    ):
        bar.feed(CONFIRM)
    assert bar.machine.state is RoundState.AWAITING_GLASS
    bar.feed(STOP)
    with pytest.raises(UnexpectedRoundEvent, match="takes no more commands"):
        bar.feed(HOLD)


def test_what_is_in_the_glass_is_shown_as_it_is_poured() -> None:
    bar = steps("split")
    bar.feed(stands(200.0), begins())

    def in_glass_g(*pouring_g: float) -> float:
        outcome = bar.machine.progress(bar.now_s, pouring_g).glasses[0].outcome
        assert outcome is not None
        return outcome.delivered.mass_g

    assert in_glass_g() == 0
    assert in_glass_g(12.5) == 12.5
    bar.feed(ends(60.0), CONFIRM, stands(260.0), begins("p2"))
    assert in_glass_g(12.5) == 72.5


def test_the_forecast_shrinks_as_the_round_goes_on() -> None:
    bar = steps("on-ice", "still")
    at_first = bar.machine.progress(bar.now_s).remaining_s
    bar.feed(stands(200.0), CONFIRM, stands(260.0), begins())
    pouring = bar.machine.progress(bar.now_s).remaining_s
    later = bar.machine.progress(bar.now_s + 5.0).remaining_s
    assert at_first is not None
    assert pouring is not None
    assert later == pytest.approx(pouring - 5.0)
    assert pouring < at_first
    bar.feed(STOP, ends(1.0, state="stopped", cause="stop"))
    assert bar.machine.progress(bar.now_s).remaining_s == 0.0
