"""How requests are ordered, repeated, held back and given up, as transcripts."""

from itertools import pairwise

import pytest

from session_talk import IDLE, RUN, answer, commands, endings, opened, sample, say, sent
from tarewell_protocol import messages as m
from tarewell_protocol.framing import FrameError
from tarewell_protocol.outbox import WAITING_MAX
from tarewell_protocol.session import (
    Answered,
    Closed,
    HostSession,
    Phase,
    QueueFullError,
    SessionEvent,
    Unanswered,
)

KEEP, STOP, ALL = m.Keep(0, 400), m.Stop(3), m.Stop()
ESTOP, RELEASE = m.EmergencyStop(), m.ReleaseEmergencyStop()
SHOW, SHOW_2 = m.Show(0, "Fogbank"), m.Show(1, "180 g")


def pass_time(session: HostSession, from_s: float, to_s: float) -> tuple[list[m.Command], list[SessionEvent]]:
    """Tick whenever the session wants it, with a sample every 50 ms; what was written and what happened."""
    written: list[m.Command] = []
    events: list[SessionEvent] = []
    now_s, count = from_s, 30_000
    while session.phase is Phase.OPEN:
        wakeup_s = session.wakeup_s()
        sample_s = now_s + 0.05
        now_s = min(sample_s, max(now_s, wakeup_s)) if wakeup_s is not None else sample_s
        if now_s >= to_s:
            break
        count += 1
        say(session, sample(count), now_s)
        events += session.tick(now_s)
        written += commands(session)
    return written, events


# One at a time


def test_requests_go_one_at_a_time_and_in_order() -> None:
    session = opened()
    tickets = [session.outbox.ask(command, 0.1) for command in (SHOW, RUN, SHOW_2)]
    done: list[SessionEvent] = []
    for now_s, expected in ((0.11, SHOW), (0.12, RUN), (0.13, SHOW_2)):
        (request,) = sent(session)
        assert request.command == expected
        done += answer(session, request, now_s)
    assert endings(done) == [(ticket, Answered) for ticket in tickets]


def test_a_refusal_is_an_answer() -> None:
    session = opened()
    ticket = session.outbox.ask(RUN, 0.1)
    (run,) = sent(session)
    refused = m.Refused(m.Refusal.CEILING)
    assert answer(session, run, 0.11, refused) == [Answered(ticket, RUN, refused)]


def test_an_answer_with_another_number_or_of_another_kind_is_a_stray() -> None:
    session = opened()
    ticket = session.outbox.ask(m.AskLimits(), 0.1)
    (request,) = sent(session)
    assert say(session, m.Reply((request.seq + 1) % 256, m.Done()), 0.11) == []
    assert answer(session, request, 0.11, m.Done()) == []
    assert answer(session, request, 0.11, IDLE) == []
    assert session.strays == 3
    limits = m.BoardLimits(480, 60_000, 0, 8_000_000)
    assert answer(session, request, 0.12, limits) == [Answered(ticket, m.AskLimits(), limits)]


def test_sequence_numbers_wrap() -> None:
    session = opened()
    numbers = []
    for _ in range(300):
        session.outbox.ask(SHOW, 0.1)
        (request,) = sent(session)
        numbers.append(request.seq)
        answer(session, request, 0.1)
    assert all(after == (before + 1) % 256 for before, after in pairwise(numbers))


# Repetition


def test_an_unanswered_request_is_repeated_four_times_with_the_same_line() -> None:
    session = opened()
    ticket = session.outbox.ask(SHOW, 0.1)
    first = session.outbox.take_lines()
    for n in range(1, 5):
        due_s = session.wakeup_s() or 0.0
        assert due_s == pytest.approx(0.1 + 0.06 * n)
        assert session.tick(due_s - 0.001) == []
        assert session.outbox.take_lines() == b""
        assert session.tick(due_s) == []
        assert session.outbox.take_lines() == first
    (given_up,) = session.tick(0.41)
    assert isinstance(given_up, Unanswered)
    assert given_up.ticket == ticket
    assert given_up.reason == "no answer in 5 tries; it may have been carried out"
    assert session.outbox.take_lines() == b""


def test_a_late_answer_to_a_repeated_request_counts_once() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.1)
    (show,) = sent(session)
    session.tick(0.17)
    assert len(answer(session, show, 0.18)) == 1
    assert answer(session, show, 0.19) == []
    assert session.strays == 1


def test_a_lease_renewal_is_not_repeated() -> None:
    session = opened()
    ticket = session.outbox.ask(KEEP, 0.1)
    assert commands(session) == [KEEP]
    events = session.tick(0.161)
    assert endings(events) == [(ticket, Unanswered)]
    assert sent(session) == []


def test_a_stalled_port_collects_no_repetitions() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.0)
    session.outbox.ask(ALL, 0.0)
    pass_unsent = [session.tick(0.07 * n) for n in range(1, 5)]
    assert pass_unsent == [[]] * 4
    assert commands(session) == [SHOW, ALL]


# Lease renewals


def test_a_renewal_goes_before_what_waits_and_the_newer_replaces_the_older() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.1)
    session.outbox.ask(SHOW_2, 0.1)
    older = session.outbox.ask(m.Keep(0, 300), 0.101)
    session.outbox.ask(KEEP, 0.102)
    (first,) = sent(session)
    events = answer(session, first, 0.11)
    assert (older, Unanswered) in endings(events)
    (keep,) = sent(session)
    assert keep.command == KEEP
    answer(session, keep, 0.12)
    assert commands(session) == [SHOW_2]


def test_a_renewal_that_had_to_wait_too_long_is_dropped() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.1)
    late = session.outbox.ask(KEEP, 0.105)
    (show,) = sent(session)
    session.tick(0.161)
    assert sent(session) == [show]
    assert endings(answer(session, show, 0.17))[1:] == [(late, Unanswered)]
    assert sent(session) == []


# Stops


def test_a_stop_is_written_at_once_and_the_run_under_way_is_not_repeated() -> None:
    session = opened()
    run = session.outbox.ask(RUN, 0.1)
    assert commands(session) == [RUN]
    stop = session.outbox.ask(STOP, 0.11)
    assert session.wakeup_s() == pytest.approx(0.11)
    (line,) = sent(session)
    assert line.command == STOP
    (overtaken,) = session.tick(0.11)
    assert overtaken == Unanswered(run, RUN, "a stop overtook it; ask again if it is still wanted")
    assert answer(session, line, 0.12) == [Answered(stop, STOP, m.Done())]
    written, _ = pass_time(session, 0.12, 1.0)
    assert RUN not in written


def test_a_run_that_is_not_yet_written_is_withdrawn_by_a_stop() -> None:
    session = opened()
    session.outbox.ask(RUN, 0.1)
    session.outbox.ask(ALL, 0.1)
    assert commands(session) == [ALL]


def test_a_stop_drops_waiting_runs_and_renewals_and_leaves_the_rest() -> None:
    session = opened()
    tickets = [session.outbox.ask(command, 0.1) for command in (SHOW, RUN, SHOW_2, KEEP)]
    (show,) = sent(session)
    session.outbox.ask(STOP, 0.1)
    assert commands(session) == [STOP]
    dropped = endings(session.tick(0.1))
    assert dropped == [(tickets[1], Unanswered), (tickets[3], Unanswered)]
    answer(session, show, 0.11)
    assert commands(session) == [SHOW_2]


def test_no_run_renewal_or_release_goes_out_while_a_stop_is_unanswered() -> None:
    session = opened()
    session.outbox.ask(STOP, 0.1)
    (stop,) = sent(session)
    for command in (RUN, RELEASE, KEEP):
        session.outbox.ask(command, 0.11)
    assert sent(session) == []
    session.tick(0.161)
    assert sent(session) == [stop]
    answer(session, stop, 0.165)
    for command in (KEEP, RUN, RELEASE):
        (request,) = sent(session)
        assert request.command == command
        answer(session, request, 0.165)


def test_a_held_renewal_does_not_hold_up_the_rest() -> None:
    session = opened()
    session.outbox.ask(STOP, 0.1)
    session.outbox.ask(KEEP, 0.1)
    session.outbox.ask(SHOW, 0.1)
    assert commands(session) == [STOP, SHOW]


def test_a_run_that_a_stop_held_for_too_long_is_dropped() -> None:
    session = opened()
    session.outbox.ask(STOP, 0.1)
    (stop,) = sent(session)
    run = session.outbox.ask(RUN, 0.11)
    written, _ = pass_time(session, 0.12, 0.49)
    assert RUN not in written
    say(session, sample(1), 0.52)
    answer(session, stop, 0.52)
    (heartbeat,) = sent(session)
    assert endings(answer(session, heartbeat, 0.53, IDLE))[1:] == [(run, Unanswered)]
    assert sent(session) == []


def test_a_stop_is_repeated_until_it_is_answered_whatever_else_is() -> None:
    session = opened()
    ticket = session.outbox.ask(STOP, 0.1)
    (stop,) = sent(session)
    for n in range(1, 15):
        now_s = 0.1 + 0.0601 * n
        session.tick(now_s)
        for request in sent(session):
            if request == stop:
                continue
            answer(session, request, now_s, IDLE)
        assert session.phase is Phase.OPEN
        say(session, sample(n), now_s)
    assert answer(session, stop, 0.95) == [Answered(ticket, STOP, m.Done())]
    written, _ = pass_time(session, 0.96, 1.2)
    assert STOP not in written


def test_a_stop_that_stays_unanswered_closes_though_other_requests_are_answered() -> None:
    session = opened()
    ticket = session.outbox.ask(STOP, 0.0)
    events: list[SessionEvent] = []
    now_s = 0.0
    while session.phase is Phase.OPEN and now_s < 2.0:
        now_s += 0.01
        say(session, sample(round(now_s * 100)), now_s)
        events += session.tick(now_s)
        for request in sent(session):
            if isinstance(request.command, m.AskState):
                events += answer(session, request, now_s, IDLE)
    assert now_s == pytest.approx(1.0, abs=0.021)
    assert (ticket, Unanswered) in endings(events)
    assert isinstance(events[-1], Closed)
    assert "check the host-to-board wire" in events[-1].reason


def test_the_same_stop_asked_again_shares_the_line_and_the_answer() -> None:
    session = opened()
    tickets = [session.outbox.ask(STOP, 0.1 + n / 10_000) for n in range(100)]
    (stop,) = sent(session)
    events = answer(session, stop, 0.12)
    assert endings(events) == [(ticket, Answered) for ticket in tickets]


def test_different_stops_are_all_written() -> None:
    session = opened()
    for command in (STOP, ALL, ESTOP):
        session.outbox.ask(command, 0.1)
    assert commands(session) == [STOP, ALL, ESTOP]


def test_an_emergency_stop_drops_the_release_under_way() -> None:
    session = opened()
    release = session.outbox.ask(RELEASE, 0.1)
    sent(session)
    session.outbox.ask(ESTOP, 0.11)
    (estop,) = sent(session)
    assert endings(session.tick(0.11)) == [(release, Unanswered)]
    answer(session, estop, 0.12)
    written, _ = pass_time(session, 0.12, 1.0)
    assert RELEASE not in written


def test_an_ordinary_stop_leaves_the_release_under_way() -> None:
    session = opened()
    ticket = session.outbox.ask(RELEASE, 0.1)
    (release,) = sent(session)
    session.outbox.ask(STOP, 0.11)
    assert endings(answer(session, release, 0.12)) == [(ticket, Answered)]


def test_the_number_of_an_unanswered_stop_is_not_given_to_another_request() -> None:
    session = opened()
    ticket = session.outbox.ask(STOP, 0.0)
    (stop,) = sent(session)
    for n in range(600):
        session.outbox.ask(SHOW, n / 1000)
        for request in sent(session):
            assert request.seq != stop.seq or request == stop
            if request != stop:
                answer(session, request, n / 1000)
    assert answer(session, stop, 0.6) == [Answered(ticket, STOP, m.Done())]


# Bounds


def test_a_flood_of_requests_is_refused_but_never_a_stop_or_a_renewal() -> None:
    session = opened()
    for n in range(1 + WAITING_MAX):
        session.outbox.ask(m.Show(0, str(n)), 0.1)
    with pytest.raises(
        QueueFullError, match="16 requests wait for the board already; wait for their answers"
    ):
        session.outbox.ask(SHOW, 0.1)
    session.outbox.ask(KEEP, 0.1)
    session.outbox.ask(ESTOP, 0.1)
    first, estop = sent(session)
    assert estop.command == ESTOP
    answer(session, first, 0.11)
    session.outbox.ask(SHOW, 0.11)


def test_what_no_line_can_carry_is_refused_when_asked_and_not_later() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.1)
    with pytest.raises(FrameError, match="printable ASCII"):
        session.outbox.ask(m.Show(1, "5 * 20 g"), 0.1)
    with pytest.raises(FrameError, match="outside SPEC"):
        session.outbox.ask(m.Keep(0, 0), 0.1)
    (show,) = sent(session)
    answer(session, show, 0.11)
    assert sent(session) == []


# A board that does not answer, a host that was away


def test_a_board_that_sends_but_does_not_answer_closes_the_link() -> None:
    session = opened()
    ticket = session.outbox.ask(RUN, 0.1)
    sent(session)
    written, events = pass_time(session, 0.1, 3.0)
    assert endings(events)[0] == (ticket, Unanswered)
    assert written.count(RUN) == 4
    assert isinstance(events[-1], Closed)
    assert "sends but does not answer; check the host-to-board wire" in events[-1].reason


def test_the_link_is_given_up_one_second_after_the_first_unanswered_request() -> None:
    session = opened()
    session.outbox.ask(SHOW, 5.0)
    _, early = pass_time(session, 5.0, 5.99)
    _, late = pass_time(session, 5.99, 6.1)
    assert not any(isinstance(event, Closed) for event in early)
    assert isinstance(late[-1], Closed)


def test_a_host_that_was_away_neither_repeats_an_old_run_nor_blames_the_board() -> None:
    session = opened()
    run = session.outbox.ask(RUN, 0.1)
    sent(session)
    say(session, sample(9), 10.0)
    assert endings(session.tick(10.0)) == [(run, Unanswered)]
    assert session.phase is Phase.OPEN
    assert commands(session) == [m.AskState()]


def test_a_host_that_was_away_repeats_once_and_not_for_every_try_it_missed() -> None:
    session = opened()
    session.outbox.ask(SHOW, 0.1)
    (show,) = sent(session)
    say(session, sample(9), 10.0)
    assert session.tick(10.0) == []
    assert sent(session) == [show]
    assert session.tick(10.01) == []
    assert sent(session) == []
    assert len(answer(session, show, 10.02)) == 1
