"""Whatever happens in whatever order: no failure, and only lines that the board's display can show."""

from hypothesis import given
from hypothesis import strategies as st

from panel_hands import PanelUser
from playbook import After
from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.alarms import alarm
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import Verdict
from tarewell.local_panel import events as e
from tarewell.local_panel.choices import Choice, Measure
from tarewell.rounds.states import RoundState
from tarewell_protocol.codec import encode_request
from tarewell_protocol.messages import Button, Knob, Press, Request, Show

TEXT = st.text(max_size=40)
AMOUNT = st.floats(-50, 2000)
ALARM = st.builds(alarm, st.sampled_from(sorted(ALARMS)), TEXT)
MEASURE = st.builds(
    lambda title, unit, low, more, step: Measure(title, unit, low, low + 2 * more, step, low + more),
    TEXT,
    st.sampled_from(["ml", "glasses"]),
    st.floats(0.5, 100),
    st.floats(0, 500),
    st.floats(0.1, 50),
)
CHOICE = st.builds(
    Choice, st.sampled_from("abcdef"), TEXT, st.lists(MEASURE, min_size=1, max_size=3).map(tuple)
)
POUR = st.builds(
    e.PourShown,
    st.sampled_from("xy"),
    TEXT,
    st.sampled_from(PourState),
    AMOUNT,
    AMOUNT,
    AMOUNT,
    st.none() | ALARM,
)
ROUND = st.builds(
    e.RoundShown, st.sampled_from("xy"), TEXT, st.sampled_from(RoundState), st.integers(0, 3), TEXT, TEXT
)
BUTTON = st.sampled_from(Press).map(lambda press: Button(press, 0))
KNOB = st.integers(-127, 127).filter(bool).map(lambda steps: Knob(steps, 0))
EVENT = st.one_of(
    BUTTON,
    BUTTON,
    KNOB,
    st.builds(e.DisplayFound, st.integers(1, 99), st.integers(1, 99)),
    st.lists(CHOICE, max_size=4, unique_by=lambda found: found.key).map(lambda c: e.ChoicesRead(tuple(c))),
    st.builds(
        e.MachineShown,
        st.lists(TEXT, max_size=2).map(tuple),
        st.booleans(),
        st.none() | POUR,
        st.none() | ROUND,
    ),
    st.just(e.RoundCommandGiven()),
    st.builds(e.PourAccepted, POUR),
    st.builds(e.RequestRefused, TEXT, TEXT),
    st.builds(
        e.PourOver,
        TEXT,
        st.sampled_from(["complete", "stopped", "aborted", "interrupted"]),
        st.sampled_from([*ALARMS, "target", "stop", "abort", "program_fault"]),
        AMOUNT,
        AMOUNT,
        st.none() | st.sampled_from(Verdict),
    ),
    st.builds(e.AlarmRaised, ALARM),
)


@given(st.lists(st.tuples(EVENT, st.floats(0, 12)), max_size=30))
def test_any_events(events: list[tuple[e.PanelEvent, float]]) -> None:
    hand = PanelUser(16, 2)
    rows, columns = 2, 16
    for event, after_s in events:
        intents = hand.feed(After(after_s, event))
        if isinstance(event, e.DisplayFound):
            rows, columns = min(event.rows, 4), min(event.columns, 20)
        lines = hand.machine.lines()
        assert len(lines) == rows
        for number, line in enumerate(lines):
            assert len(line) <= columns
            encode_request(Request(0, Show(number, line)))
        for intent in intents:
            assert isinstance(event, Button)
            if isinstance(intent, e.AskForPour):
                assert event.press is Press.UP
                measure = intent.chosen.choice.measures[intent.chosen.measure]
                assert measure.smallest <= intent.chosen.amount <= measure.largest
            elif isinstance(intent, e.AskForRelease):
                assert event.press is Press.LONG


@given(st.lists(BUTTON | KNOB, max_size=40))
def test_hands_alone_begin_no_second_pour_while_one_is_asked_for(events: list[e.PanelEvent]) -> None:
    hand = PanelUser(16, 2)
    hand.offer("House Water", "Gallery Juice")
    for event in events:
        hand.feed(event)
    assert len(hand.effects) <= 1
