"""What somebody reads of a round on the two usual displays, and what presses do."""

import pytest

from panel_hands import DOWN, UP, PanelUser, picture, pour
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict
from tarewell.local_panel import events as e
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.states import RoundState
from tarewell_protocol.messages import Knob


def seen(state: RoundState, prompt: str = "", detail: str = "", leg: int = 0) -> e.RoundShown:
    """A round as it stands."""
    return e.RoundShown("round-1", "Cooler", state, leg, prompt, detail)


def at(round_: e.RoundShown) -> e.MachineShown:
    """The machine while that round is under way."""
    return e.MachineShown((), False, None, round_)


CONFIRM = e.GiveRoundCommand("round-1", RoundCommand.CONFIRM)
GLASS = seen(RoundState.AWAITING_GLASS, "put an empty Tumbler on the platform")
ICE = seen(RoundState.BY_HAND, "by hand: ice cubes (60 g), then confirm")
GARNISH = seen(RoundState.BY_HAND, "by hand: cucumber, then confirm", leg=2)


def test_a_step_by_hand_on_two_lines() -> None:
    hand = PanelUser(16, 2)
    hand.offer("Cooler")
    hand.see(round_=ICE)
    assert hand.display == picture("""
        |Cooler          |
        |By hand: ice   ~|
    """)
    hand.press()
    assert hand.effects == [CONFIRM]


def test_a_step_by_hand_on_four_lines() -> None:
    hand = PanelUser(20, 4)
    hand.see(round_=ICE)
    assert hand.display == picture("""
        |Cooler              |
        |By hand: ice cubes  |
        |(60 g), then        |
        |press:done       1/4|
    """)


@pytest.mark.parametrize(("columns", "rows"), [(16, 2), (20, 4)])
def test_other_words_for_the_same_step_leave_the_page_that_is_read(columns: int, rows: int) -> None:
    hand = PanelUser(columns, rows)
    prompts = [f"by hand: stir without stopping, {left} s left, then confirm" for left in (10, 9, 8)]
    hand.see(round_=seen(RoundState.BY_HAND, prompts[0]))
    hand.turn(1)
    before = hand.display
    hand.see(round_=seen(RoundState.BY_HAND, prompts[1]))
    assert hand.display == [line.replace("10 s", "9 s") for line in before]
    hand.turn(9)
    hand.turn(-1)
    assert "[Stop round]" in "".join(hand.display)
    hand.see(round_=seen(RoundState.BY_HAND, "by hand: stir, then confirm"))
    assert "[Stop round]" in "".join(hand.display), "the text is shorter by a page or more"
    hand.see(round_=seen(RoundState.BY_HAND, prompts[2]))
    hand.press()
    assert hand.effects == [e.GiveRoundCommand("round-1", RoundCommand.STOP)]


def test_two_quick_presses_confirm_one_step() -> None:
    hand = PanelUser(16, 2)
    assert hand >> at(ICE) >> DOWN >> UP << CONFIRM >> DOWN >> UP >> e.RoundCommandGiven()
    assert hand >> at(GARNISH) >> DOWN >> UP << CONFIRM


def test_a_round_that_is_held_again_for_the_same_reason_can_be_restarted_again() -> None:
    hand = PanelUser(20, 4)
    held = at(seen(RoundState.HELD, "held; restart, skip or stop", "the scale is not calibrated"))
    restart = e.GiveRoundCommand("round-1", RoundCommand.RESTART)
    assert hand >> held >> Knob(2, 0) >> DOWN >> UP << restart >> e.RoundCommandGiven()
    assert hand >> held >> DOWN >> UP << restart


def test_a_press_that_began_on_the_step_before_confirms_nothing() -> None:
    hand = PanelUser(16, 2)
    hand.see(pour=pour(PourState.COARSE_FEED, 10))
    assert hand >> DOWN << e.StopPour("pour-1") >> at(GARNISH) >> UP


def test_a_press_that_began_while_the_glass_was_waited_for_starts_nothing() -> None:
    ready = at(seen(RoundState.GLASS_READY, "the glass is ready; start"))
    assert PanelUser(16, 2) >> at(GLASS) >> DOWN >> ready >> UP


def test_a_press_counts_though_what_stands_there_weighs_another_gram() -> None:
    wrong = "put an empty Tumbler on the platform"
    before = at(seen(RoundState.AWAITING_GLASS, wrong, "scale reads 320"))
    after = at(seen(RoundState.AWAITING_GLASS, wrong, "the scale reads 321 g"))
    stop = e.GiveRoundCommand("round-1", RoundCommand.STOP)
    assert PanelUser(20, 4) >> before >> DOWN >> after >> UP >> DOWN >> UP << stop


def test_the_glass_that_stands_ready_is_started() -> None:
    hand = PanelUser(16, 2)
    hand.see(round_=seen(RoundState.GLASS_READY, "the glass is ready; start"))
    hand.press()
    assert hand.effects == [e.GiveRoundCommand("round-1", RoundCommand.START)]


@pytest.mark.parametrize(
    ("turns", "command"),
    [(0, None), (1, RoundCommand.STOP), (2, RoundCommand.RESTART), (3, RoundCommand.SKIP)],
)
def test_a_held_round_is_decided(turns: int, command: RoundCommand | None) -> None:
    hand = PanelUser(20, 4)
    hand.see(round_=seen(RoundState.HELD, "held; restart, skip or stop", "the scale is not calibrated"))
    assert hand.display[1] == "|The scale is not    |"
    hand.turn(turns)
    hand.press()
    assert hand.effects == ([] if command is None else [e.GiveRoundCommand("round-1", command)])


def test_a_long_press_stops_a_round_that_waits() -> None:
    hand = PanelUser(16, 2)
    hand.see(round_=GLASS)
    hand.hold()
    assert hand.effects == [e.GiveRoundCommand("round-1", RoundCommand.STOP)]


def test_the_round_gives_way_to_its_pour_and_comes_back_after_it() -> None:
    hand = PanelUser(16, 2)
    hand.offer("Cooler")
    hand.see(round_=GLASS)
    hand.see(pour=pour(PourState.COARSE_FEED, 10), round_=seen(RoundState.POURING, "pouring"))
    assert hand.display[0] == "|House Wat~ 10 ml|"
    hand.feed(e.PourOver("House Water", "complete", "target", 39.8, 40.0, Verdict.WITHIN))
    hand.see(round_=GARNISH)
    assert hand.display[1].startswith("|By hand:")
    hand.see()
    assert hand.display[0] == "|Drink        1/1|"


def test_the_last_pour_of_a_round_shows_its_result() -> None:
    hand = PanelUser(16, 2)
    hand.see(pour=pour(PourState.COARSE_FEED, 10), round_=seen(RoundState.POURING, "pouring"))
    hand.feed(e.PourOver("House Water", "complete", "target", 39.8, 40.0, Verdict.WITHIN))
    hand.see(round_=seen(RoundState.POURING, "pouring"))
    hand.see()
    assert hand.display[0] == "|Done, 39.8 ml   |"


def test_the_emergency_stop_goes_before_a_round() -> None:
    hand = PanelUser(16, 2)
    hand.see(round_=GLASS)
    hand.see(latched=True, round_=seen(RoundState.HELD, "held"))
    assert hand.display[0] == "|Emergency stop  |"
    hand.see(round_=seen(RoundState.HELD, "held; restart, skip or stop"))
    assert hand.display[0] == "|Cooler          |"


def test_a_notice_stays_until_it_was_read() -> None:
    hand = PanelUser(16, 2)
    hand.feed(e.RequestRefused("Not poured", "round x is under way"))
    hand.see(round_=GLASS)
    assert hand.display[0] == "|Not poured      |"
    hand.press()
    hand.see(round_=GLASS)
    assert hand.display[0] == "|Cooler          |"
