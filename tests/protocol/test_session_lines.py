"""A session and a board at the two ends of lines that cut, delay, lose and spoil."""

from collections import Counter
from itertools import zip_longest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from board_double import BoardDouble, Conversation, FaultyLine
from session_talk import IDLE, RUN, endings, opened, say
from tarewell_protocol import messages as m
from tarewell_protocol.codec import encode_from_board
from tarewell_protocol.session import (
    Answered,
    Closed,
    HostSession,
    Opened,
    Phase,
    Reported,
    SampleArrived,
    Unanswered,
)

LINES = {
    "whole": (FaultyLine(), FaultyLine()),
    "byte by byte": (FaultyLine(piece=1), FaultyLine(piece=1)),
    "in pieces of seven": (FaultyLine(piece=7), FaultyLine(piece=7)),
    "delayed by 20 ms": (FaultyLine(delay_s=0.02), FaultyLine(delay_s=0.02)),
    "slower than the repetition": (FaultyLine(delay_s=0.04), FaultyLine(delay_s=0.04)),
}


def run_of(number: int) -> m.Run:
    """A run that can be told from others."""
    return m.Run(3, m.Direction.FORWARD, 255, 400, 0, number + 1)


def reports(talk: Conversation) -> list[m.EventBody]:
    return [event.body for event in talk.events if isinstance(event, Reported)]


@pytest.mark.parametrize("name", LINES)
def test_a_dose_over_a_line_that_only_cuts_or_delays(name: str) -> None:
    down, up = LINES[name]
    talk = Conversation(
        FaultyLine(down.piece, 0.0, down.delay_s), FaultyLine(up.piece, 0.0, up.delay_s), BoardDouble()
    )
    talk.run_for(0.5)
    tickets = [talk.request(RUN)]
    for _ in range(10):
        talk.run_for(0.1)
        tickets.append(talk.request(m.Keep(0, 400)))
    assert talk.board.running == 3
    tickets.append(talk.request(m.Stop(3)))
    talk.run_for(0.5)
    assert isinstance(talk.events[0], Opened)
    assert talk.board.running is None
    assert talk.board.carried_out.count(RUN) == 1
    assert reports(talk) == [m.Stopped(0, 3, m.StopCause.HOST, 0, 0)]
    assert sum(event.missed for event in talk.events if isinstance(event, SampleArrived)) == 0
    ended = dict(endings(talk.events))
    assert ended[tickets[0]] is Answered
    assert ended[tickets[-1]] is Answered
    assert set(tickets) <= ended.keys()
    assert talk.session.noise.total == 0
    assert talk.session.phase is Phase.OPEN


def test_the_heartbeat_keeps_the_link_but_renews_no_lease() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.request(RUN)
    talk.run_for(0.4)
    assert talk.board.running == 3
    talk.run_for(0.02)
    assert talk.board.running is None
    talk.run_for(3.0)
    assert reports(talk) == [m.Stopped(0, 3, m.StopCause.LEASE, 0, 0)]
    assert talk.session.phase is Phase.OPEN


def test_a_board_that_resets_ends_the_session() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.request(RUN)
    talk.run_for(0.1)
    talk.up.push(talk.board.reset(), talk.now_s)
    talk.run_for(0.1)
    assert isinstance(talk.events[-1], Closed)
    assert "brownout" in talk.events[-1].reason


def test_a_board_that_resets_unheard_ends_the_session_too() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.board.reset()
    talk.run_for(0.45)
    assert isinstance(talk.events[-1], Closed)
    assert "lost the session" in talk.events[-1].reason


def test_a_cable_pulled_out_ends_the_session_in_half_a_second() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.up.fault_rate = talk.down.fault_rate = 1.0
    talk.run_for(0.49)
    assert talk.session.phase is Phase.OPEN
    talk.run_for(0.03)
    assert "nothing heard" in closing_of(talk)


def test_a_board_that_turns_deaf_ends_the_session() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.board.deaf = True
    talk.run_for(2.0)
    assert "does not answer" in closing_of(talk)


def closing_of(talk: Conversation) -> str:
    last = talk.events[-1]
    assert isinstance(last, Closed)
    return last.reason


def test_a_new_session_stops_what_the_old_one_left_running() -> None:
    talk = Conversation()
    talk.run_for(0.1)
    talk.request(RUN)
    talk.run_for(0.02)
    again = Conversation(board=talk.board, nonce=talk.nonce + 1)
    again.run_for(0.02)
    assert talk.board.running is None
    assert isinstance(again.events[0], Opened)


# Asked in any order, over lines that lose and flip bytes in both directions: each ticket ends once, no run is
# carried out twice or after a later stop, no stop hits a run that was asked for after it, and no release
# takes back a later emergency stop.

ASK = st.sampled_from(["run", "run", "stop", "stop all", "estop", "clear", "keep", "show", "show"])
SCRIPT = st.lists(st.tuples(ASK, st.integers(0, 40)), min_size=1, max_size=40)


@settings(max_examples=60, deadline=None)
@given(SCRIPT, st.sampled_from([0.0, 0.003, 0.02]), st.sampled_from([0.0, 0.03]), st.integers(0, 1000))
def test_no_request_is_carried_out_twice_or_out_of_turn(
    script: list[tuple[str, int]], fault_rate: float, delay_s: float, seed: int
) -> None:
    talk = Conversation(
        FaultyLine(None, fault_rate, delay_s, seed), FaultyLine(None, fault_rate, delay_s, seed + 1)
    )
    while talk.session.phase is Phase.GREETING and talk.now_s < 6.5:
        talk.run_for(0.1)
    tickets: list[int] = []
    asked: list[m.Command] = []
    for word, wait_ms in script:
        if talk.session.phase is not Phase.OPEN:
            break
        stops: dict[str, m.Command] = {"stop": m.Stop(3), "stop all": m.Stop(), "estop": m.EmergencyStop()}
        others: dict[str, m.Command] = {
            "clear": m.ReleaseEmergencyStop(),
            "keep": m.Keep(0, 400),
            "show": m.Show(0, word),
        }
        command = run_of(len(asked)) if word == "run" else (stops | others)[word]
        if len(tickets) - len(endings(talk.events)) < 12:
            tickets.append(talk.request(command))
            asked.append(command)
        talk.run_for(wait_ms / 1000)
    talk.run_for(2.0)
    counted = Counter(ticket for ticket, _ in endings(talk.events))
    assert all(counted[ticket] == 1 for ticket in tickets)
    check_order(asked, talk.board.carried_out)


def check_order(asked: list[m.Command], done: list[m.Command]) -> None:
    runs = [command for command in done if isinstance(command, m.Run)]
    assert len(set(runs)) == len(runs)
    place = {command: n for n, command in enumerate(asked) if isinstance(command, m.Run)}
    assert [place[run] for run in runs] == sorted(place[run] for run in runs)
    for run, following in zip_longest(runs, runs[1:]):
        carried_out = done[done.index(run) : done.index(following) if following else None]
        wanted = asked[place[run] : place[following] if following else None]
        if any(isinstance(command, m.Stop | m.EmergencyStop) for command in carried_out):
            assert any(isinstance(command, m.Stop | m.EmergencyStop) for command in wanted)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 80))
def test_no_clear_takes_back_a_later_emergency_stop(seed: int, wait_ms: int) -> None:
    talk = Conversation(FaultyLine(None, 0.03, 0.0, seed), FaultyLine(None, 0.0, 0.0, seed))
    while talk.session.phase is Phase.GREETING and talk.now_s < 6.5:
        talk.run_for(0.1)
    if talk.session.phase is Phase.OPEN:
        talk.request(m.ReleaseEmergencyStop())
        talk.run_for(wait_ms / 1000)
    if talk.session.phase is Phase.OPEN:
        stop = talk.request(m.EmergencyStop())
        talk.run_for(2.0)
        assert talk.board.latched or dict(endings(talk.events))[stop] is Unanswered


# Bytes of any kind, calls in any order


@given(st.lists(st.binary(max_size=200), max_size=20), st.booleans())
def test_arbitrary_bytes_never_raise(pieces: list[bytes], is_open: bool) -> None:
    session = opened() if is_open else HostSession(1, 0.0)
    for piece in pieces:
        session.receive(piece, 0.1)
        session.tick(0.1)


@given(
    st.lists(
        st.tuples(st.sampled_from(["tick", "sample", "ok", "event", "state", *"rksec"]), st.floats(0, 0.3)),
        max_size=60,
    )
)
def test_a_tick_at_wakeup_always_leaves_a_later_wakeup(steps: list[tuple[str, float]]) -> None:
    """So a caller that re-arms one timer never spins, however late it is."""
    session, now_s = opened(), 0.0
    asks: dict[str, m.Command] = {
        "r": RUN, "k": m.Keep(0, 400), "s": m.Stop(3), "e": m.EmergencyStop(), "c": m.ReleaseEmergencyStop()
    }  # fmt: skip
    for number, (word, wait_s) in enumerate(steps, 1):
        if session.phase is Phase.CLOSED:
            break
        now_s += wait_s
        match word:
            case "sample":
                say(session, m.Sample(0, number, 0, 0), now_s)
            case "event":
                say(session, m.Event(number * 3 % 256, m.Button(m.Press.UP, 0)), now_s)
            case "ok" | "state":
                body = m.Done() if word == "ok" else IDLE
                session.receive(b"".join(encode_from_board(m.Reply(seq, body)) for seq in range(256)), now_s)
            case "tick":
                session.tick(now_s)
            case letter if number < 16:
                session.outbox.ask(asks[letter], now_s)
        wakeup_s = session.wakeup_s()
        if wakeup_s is not None and wakeup_s <= now_s:
            session.tick(now_s)
            after_s = session.wakeup_s()
            assert after_s is None or after_s > now_s
