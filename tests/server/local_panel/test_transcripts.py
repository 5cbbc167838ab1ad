"""What somebody reads on the two usual displays, from choosing to the result, and when something is wrong."""

from collections.abc import Callable

import pytest

from panel_hands import DOWN, LONG, UP, PanelUser, choice, picture, pour
from tarewell.dosing.alarms import alarm
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict
from tarewell.local_panel import events as e
from tarewell.local_panel.choices import ChosenPour, Measure

DONE = e.PourOver("House Water", "complete", "target", 39.84, 40.0, Verdict.WITHIN)
POURING = e.MachineShown((), False, pour(PourState.COARSE_FEED, 10.0), None)
LIFTED = alarm("glass_lifted", "240 g gone")


def test_a_drink_on_two_lines_of_sixteen() -> None:
    hand = PanelUser(16, 2)
    assert hand.display == picture("""
        |No drinks yet   |
        |Add at computer |
    """)
    hand.offer("House Water", "Prompter's Cordial", "Gallery Juice")
    hand.see()
    assert hand.display == picture("""
        |Drink        1/3|
        |[House Water]   |
    """)
    hand.turn(1)
    assert hand.display == picture("""
        |Drink        2/3|
        |[Prompter's Co~]|
    """)
    hand.press()
    assert hand.display == picture("""
        |Prompter's Cord~|
        |[40 ml]    pour?|
    """)
    hand.turn(-15)
    hand.press()
    assert hand.effects == [e.AskForPour(ChosenPour(choice("Prompter's Cordial"), 0, 25))]
    assert hand.display == picture("""
        |Prompter's Cord~|
        |25 ml ...       |
    """)
    hand.feed(e.PourAccepted(pour(PourState.AWAITING_GLASS, title="Prompter's Cordial")))
    assert hand.display == picture("""
        |Put a glass on  |
        |Prompter'~ stop?|
    """)
    hand.see(pour=pour(PourState.TARING))
    assert hand.display == picture("""
        |Weighing glass  |
        |House Wat~ stop?|
    """)
    hand.see(pour=pour(PourState.COARSE_FEED, 22.6))
    assert hand.display == picture("""
        |House Wat~ 23 ml|
        |######.... stop?|
    """)
    hand.see(pour=pour(PourState.SETTLING, 39.9))
    assert hand.display == picture("""
        |House Wat~ 40 ml|
        |########## stop?|
    """)
    hand.feed(DONE)
    assert hand.display == picture("""
        |Done, 39.8 ml   |
        |in tolerance ok?|
    """)
    hand.press()
    assert hand.display == picture("""
        |Drink        2/3|
        |[Prompter's Co~]|
    """)
    assert len(hand.effects) == 1


def test_a_drink_on_four_lines_of_twenty() -> None:
    hand = PanelUser(20, 4)
    hand.offer("House Water", "Footlight Spirit")
    hand.see()
    assert hand.display == picture("""
        |Drink            1/2|
        |[House Water]       |
        | Footlight Spirit   |
        |press:next          |
    """)
    hand.press()
    assert hand.display == picture("""
        |House Water         |
        |[40 ml]             |
        |                    |
        |press:pour hold:back|
    """)
    hand.press()
    hand.see(pour=pour(PourState.AWAITING_GLASS))
    assert hand.display == picture("""
        |Put a glass on      |
        |House Water         |
        |0 of 40 ml          |
        |press:stop          |
    """)
    hand.see(pour=pour(PourState.FINE_FEED, 30.0))
    assert hand.display == picture("""
        |House Water         |
        |30 of 40 ml     33 g|
        |###############.....|
        |press:stop          |
    """)
    hand.feed(DOWN)
    assert hand.effects[1:] == [e.StopPour("pour-1")]
    hand.see(pour=pour(PourState.STOPPING, 31.0))
    assert hand.display == picture("""
        |Stopping ...        |
        |House Water         |
        |31 of 40 ml         |
        |                    |
    """)
    hand.feed(e.PourOver("House Water", "stopped", "stop", 31.3, 40.0, None))
    hand.feed(UP)
    assert hand.display == picture("""
        |Stopped, 31.3 ml    |
        |House Water         |
        |of 40 ml            |
        |press:ok            |
    """)
    hand.press()
    hand.feed(DONE)
    assert hand.display == picture("""
        |Done, 39.8 ml       |
        |House Water         |
        |in tolerance        |
        |press:ok            |
    """)


def test_a_held_pour_on_two_lines_is_read_by_turning_and_restarted() -> None:
    hand = PanelUser(16, 2)
    hand.see(pour=pour(PourState.HELD, 23.0, LIFTED))
    read = []
    for _ in range(10):
        read.append(hand.display[1])
        hand.turn(1)
    assert hand.display[0] == "|Glass lifted    |"
    assert read == picture("""
        |Wipe the       ~|
        |platform dry,  ~|
        |put the same   ~|
        |glass back,    ~|
        |then restart;  ~|
        |or stop the    ~|
        |pour. (240 g   ~|
        |gone)          ~|
        |[Stop pour]    ~|
        |[Restart]       |
    """)
    hand.press()
    assert hand.effects == [e.RestartPour("pour-1")]
    hand.see(pour=pour(PourState.RESTARTING, 23.0))
    assert hand.display == picture("""
        |Checking glass  |
        |House Wat~ stop?|
    """)


def test_a_held_pour_on_four_lines_is_stopped_by_pressing_twice() -> None:
    hand = PanelUser(20, 4)
    hand.see(pour=pour(PourState.HELD, 23.0, LIFTED))
    assert hand.display == picture("""
        |Glass lifted        |
        |Wipe the platform   |
        |dry, put the same   |
        |press:choose     1/5|
    """)
    hand.press()
    assert hand.display == picture("""
        |Glass lifted        |
        |[Stop pour]         |
        |                    |
        |press:do it      4/5|
    """)
    assert hand.effects == []
    hand.press()
    assert hand.effects == [e.StopPour("pour-1")]


def test_a_hold_from_elsewhere_offers_the_same() -> None:
    hand = PanelUser(16, 2)
    note = alarm("under_target", "11.0 g of 12.0 g")
    hand.see(pour=pour(PourState.HELD, 23.0, note))
    assert hand.display == picture("""
        |Held            |
        |The pour was   ~|
    """)
    hand.hold()
    assert hand.effects == [e.StopPour("pour-1")]


@pytest.mark.parametrize(
    ("over", "first", "second"),
    [
        (
            e.PourOver("House Water", "complete", "target", 30.1, 40.0, Verdict.UNDER),
            "|Done, 30.1 ml   |",
            "|below          ~|",
        ),
        (
            e.PourOver("House Water", "complete", "target", 148.6, 140.0, Verdict.OVER),
            "|Done, 149 ml    |",
            "|above          ~|",
        ),
        (
            e.PourOver("House Water", "complete", "target", 30.1, 40.0, None),
            "|Done, 30.1 ml   |",
            "|not judged   ok?|",
        ),
        (
            e.PourOver("House Water", "stopped", "no_glass", 0.0, 40.0, None),
            "|No glass        |",
            "|Put an empty   ~|",
        ),
        (
            e.PourOver("House Water", "stopped", "stop", -0.04, 40.0, None),
            "|Stopped, 0.0 ml |",
            "|of 40 ml     ok?|",
        ),
        (
            e.PourOver("House Water", "aborted", "program_fault", 12.0, 40.0, None),
            "|Aborted, 12.0 ml|",
            "|Program fault. ~|",
        ),
    ],
)
def test_how_a_pour_ended(over: e.PourOver, first: str, second: str) -> None:
    hand = PanelUser(16, 2)
    hand.see(pour=pour(PourState.COARSE_FEED))
    hand.feed(over)
    assert hand.display == [first, second]


def test_what_hinders_is_shown_while_it_does_and_the_amount_is_kept() -> None:
    hand = PanelUser(20, 4)
    hand.offer("House Water")
    hand.press()
    hand.turn(5)
    hand.see("the scale is not calibrated; calibrate it with a reference mass")
    assert hand.display == picture("""
        |Not ready           |
        |The scale is not    |
        |calibrated;         |
        |turn:more        1/2|
    """)
    hand.turn(1)
    hand.see("the scale is not calibrated; calibrate it with a reference mass")
    assert hand.display == picture("""
        |Not ready           |
        |calibrate it with a |
        |reference mass.     |
        |turn:more        2/2|
    """)
    hand.press()
    hand.see()
    assert hand.display[1] == "|[45 ml]             |"
    assert hand.effects == []


def test_a_refusal_is_shown_until_it_was_seen() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.press()
    hand.press()
    hand.press()  # asked already
    hand.feed(e.RequestRefused("Not poured", "a dose is at least 2 g"))
    hand.see()
    assert hand.display == picture("""
        |Not poured      |
        |A dose is at   ~|
    """)
    hand.turn(9)
    assert hand.display[1] == "|least 2 g.   ok?|"
    hand.press()
    assert hand.display[1] == "|[House Water]   |"
    assert len(hand.effects) == 1


def test_the_emergency_stop_is_released_by_a_long_press_after_the_question() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.see("the emergency stop is latched; remove the cause, then release it", latched=True)
    assert hand.display == picture("""
        |Emergency stop  |
        |Remove the     ~|
    """)
    hand.hold()
    hand.press()
    assert hand.display[1] == "|[Release]       |"
    hand.hold()
    assert hand.effects == []
    hand.press()
    assert hand.display == picture("""
        |Release it?     |
        |Hold the button |
    """)
    hand.see("the emergency stop is latched; remove the cause, then release it", latched=True)
    hand.hold()
    assert hand.effects == [e.AskForRelease()]
    hand.see()
    assert hand.display[1] == "|[House Water]   |"


@pytest.mark.parametrize("retreat", ["press", "turn", "wait"])
def test_the_question_whether_to_release_is_taken_back(retreat: str) -> None:
    hand = PanelUser(16, 2)
    hand.see("latched", latched=True)
    hand.press()
    hand.press()
    assert hand.display[0] == "|Release it?     |"
    if retreat == "press":
        hand.press()
    elif retreat == "turn":
        hand.turn(1)
    else:
        for _ in range(11):
            hand.see("latched", latched=True)
    assert hand.display[0] == "|Emergency stop  |"
    hand.hold()
    assert hand.effects == []


def test_by_the_glass_where_a_choice_has_glasses() -> None:
    glasses = tuple(
        Measure(name, "ml", ml, ml, 1, ml) for name, ml in (("small glass", 120), ("long glass", 250))
    )
    spritz = choice("Overture Spritz", *glasses, Measure("millilitres", "ml", 30, 400, 5, 150))
    hand = PanelUser(20, 4)
    hand.offer(spritz)
    hand.press()
    assert hand.display == picture("""
        |Overture Spritz     |
        |[small glass]       |
        | long glass         |
        |press:next hold:back|
    """)
    hand.turn(1)
    hand.press()
    hand.turn(-7)
    assert hand.display[1] == "|[250 ml]            |"
    hand.hold()
    assert hand.display[1] == "|[long glass]        |"
    hand.turn(1)
    hand.press()
    hand.turn(2)
    hand.press()
    assert hand.effects == [e.AskForPour(ChosenPour(spritz, 2, 160))]


def amount(hand: PanelUser) -> int:
    """The millilitres that are offered."""
    return int(hand.display[1].strip("|[").split()[0])


def test_quick_turning_goes_further_and_turning_back_is_fine() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.press()
    amounts = []
    for _ in range(30):
        hand.turn(1, after_s=0.05)
        amounts.append(amount(hand))
    assert amounts[:12] == [41, 42, 43, 44, 45, 46, 47, 48, 49, 50, 55, 60]
    assert amounts[19:23] == [100, 110, 120, 130]
    assert amounts[29] == 200
    hand.turn(-1, after_s=0.05)
    assert hand.display[1] == "|[199 ml]   pour?|"
    hand.turn(127)
    hand.turn(127)
    hand.turn(127)
    assert hand.display[1] == "|[500 ml]   pour?|"


def test_a_small_amount_stays_fine_however_quick_the_turn() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.press()
    amounts = []
    for _ in range(15):
        hand.turn(-1, after_s=0.012)
        amounts.append(amount(hand))
    assert amounts == list(range(39, 24, -1))


@pytest.mark.parametrize(("after_s", "ends"), [(0.012, 450), (0.2, 491)])
def test_nine_detents_back_from_the_largest_amount(after_s: float, ends: int) -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.press()
    hand.turn(127)
    hand.turn(127)
    assert amount(hand) == 500
    for _ in range(9):
        hand.turn(-1, after_s=after_s)
    assert amount(hand) == ends


@pytest.mark.parametrize("steps", [-90, -15, 9, 70])
def test_a_quick_turn_ends_where_it_ends_detent_by_detent_or_in_one_report(steps: int) -> None:
    ends = []
    for reports in ([steps], [1 if steps > 0 else -1] * abs(steps)):
        hand = PanelUser(16, 2)
        hand.offer("House Water")
        hand.press()
        for report in reports:
            hand.turn(report, after_s=0.012)
        ends.append(amount(hand))
    assert ends[0] == ends[1]


def test_a_press_counts_only_on_the_screen_on_which_it_began() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water")
    hand.press()
    assert hand >> DOWN >> POURING >> UP >> DOWN << e.StopPour("pour-1") >> DONE >> UP
    assert hand.display[0] == "|Done, 39.8 ml   |"


def test_a_stop_whose_press_was_lost_on_the_line_is_taken_when_the_button_comes_up() -> None:
    assert PanelUser(16, 2) >> POURING >> UP << e.StopPour("pour-1")
    assert PanelUser(16, 2) >> POURING >> LONG << e.StopPour("pour-1") >> UP


def test_choices_that_change_leave_the_hand_where_it_was() -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water", "Gallery Juice")
    hand.turn(1)
    hand.press()
    hand.offer("Curtain Syrup", "House Water", "Gallery Juice")
    assert hand.display[0] == "|Gallery Juice   |"
    hand.offer("Curtain Syrup", "House Water")
    assert hand.display == picture("""
        |Drink        2/2|
        |[House Water]   |
    """)
    hand.offer()
    assert hand.display[0] == "|No drinks yet   |"
    hand.press()
    hand.turn(1)
    assert hand.effects == []


def test_an_alarm_between_pours_is_put_before_everything_but_a_pour() -> None:
    hand = PanelUser(20, 4)
    hand.offer("House Water")
    hand.feed(e.AlarmRaised(alarm("unexpected_mass", "channel 1 is reported on")))
    hand.see("latched", latched=True)
    assert hand.display == picture("""
        |Unexpected mass     |
        |Switch the pump     |
        |supply off: a driver|
        |press:ok         1/4|
    """)
    hand.press()
    hand.see("latched", latched=True)
    assert hand.display[0] == "|Emergency stop      |"
    assert hand.effects == [e.AlarmSeen("unexpected_mass")]


@pytest.mark.parametrize("put_away", [PanelUser.press, PanelUser.hold])
def test_putting_a_result_away_acknowledges_the_alarm_that_ended_the_pour(
    put_away: Callable[[PanelUser], None],
) -> None:
    hand = PanelUser(20, 4)
    hand.see(pour=pour(PourState.COARSE_FEED))
    hand.feed(e.PourOver("House Water", "aborted", "link_lost", 12.0, 40.0, None, "pour-1"))
    put_away(hand)
    assert hand.effects == [e.ResultSeen("pour-1")]
    hand.feed(e.RequestRefused("Not poured", "the platform is taken"))
    put_away(hand)
    hand.feed(e.PourOver("House Water", "stopped", "stop", 12.0, 40.0, None, "pour-2"))
    put_away(hand)
    assert hand.effects == [e.ResultSeen("pour-1")]
