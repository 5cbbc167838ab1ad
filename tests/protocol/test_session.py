"""The host's session as transcripts: greeting, what the board says unasked, how it ends."""

import pytest

from board_double import IDENTITY
from session_talk import IDLE, NONCE, RUN, answer, commands, opened, sample, say, sent
from tarewell_protocol import messages as m
from tarewell_protocol.codec import encode_from_board
from tarewell_protocol.framing import BOARD_LINE_MAX, encode_frame
from tarewell_protocol.session import (
    Answered,
    Closed,
    HostSession,
    Opened,
    Phase,
    Reported,
    ReportsMissed,
    SampleArrived,
    SessionEvent,
    Unanswered,
)


def closing(events: list[SessionEvent]) -> str:
    (reason,) = (event.reason for event in events if isinstance(event, Closed))
    return reason


# Greeting


def test_it_greets_with_its_nonce_and_opens_when_the_board_answers() -> None:
    session = HostSession(NONCE, 10.0)
    (hello,) = sent(session)
    assert hello.command == m.Hello(NONCE)
    assert answer(session, hello, 10.02, IDENTITY) == [Opened(IDENTITY)]
    assert session.phase is Phase.OPEN


def test_it_repeats_the_same_hello_and_gives_up_after_six_seconds() -> None:
    session = HostSession(NONCE, 0.0)
    first = session.outbox.take_lines()
    written: list[float] = []
    events: list[SessionEvent] = []
    while (wakeup_s := session.wakeup_s()) is not None:
        events += session.tick(wakeup_s)
        if data := session.outbox.take_lines():
            assert data == first
            written.append(wakeup_s)
    assert written == [0.25 * n for n in range(1, 24)]
    assert "did not answer; check port, baud rate and firmware" in closing(events)
    assert session.phase is Phase.CLOSED


def test_answers_to_earlier_tries_of_hello_are_strays() -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    session.tick(0.25)
    assert answer(session, hello, 0.3, IDENTITY) == [Opened(IDENTITY)]
    assert answer(session, hello, 0.31, IDENTITY) == []
    assert session.strays == 1


@pytest.mark.parametrize(("protocol", "side"), [(1, "update the firmware"), (3, "update the daemon")])
def test_another_version_closes_and_says_which_side_to_update(protocol: int, side: str) -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    reason = closing(answer(session, hello, 0.02, m.OtherVersion(protocol, "0.9.2")))
    assert side in reason
    assert "0.9.2" in reason
    assert session.wakeup_s() is None


def test_a_board_of_version_1_is_told_apart_by_what_it_really_answers() -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    body = f"<{hello.seq:02X} hello 1 0.1.0 foyer-01 8 80 8388607 rvk 20x4 power"  # its SPEC.md, section 9
    reason = closing(session.receive(encode_frame(body, BOARD_LINE_MAX), 0.02))
    assert reason == (
        "the board's firmware 0.1.0 speaks protocol 1, this daemon 2: update the firmware "
        "(protocol/firmware/README.md says how)"
    )


def test_a_board_that_does_not_understand_hello_needs_other_firmware() -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    assert "update its firmware" in closing(answer(session, hello, 0.02, m.Refused(m.Refusal.VERB)))


@pytest.mark.parametrize(
    "left_over", [m.Done(), IDLE, m.Refused(m.Refusal.BUSY), m.Refused(m.Refusal.SESSION)]
)
def test_an_answer_left_from_an_earlier_session_does_not_end_the_greeting(left_over: m.ReplyBody) -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    assert answer(session, hello, 0.02, left_over) == []
    session.tick(0.25)
    assert sent(session) == [hello]
    assert answer(session, hello, 0.27, IDENTITY) == [Opened(IDENTITY)]


def test_what_the_board_says_before_it_is_greeted_is_not_passed_on() -> None:
    session = HostSession(NONCE, 0.0)
    assert say(session, m.Event(0, m.Booted(m.ResetCause.EXTERNAL, False)), 0.1) == []
    assert say(session, sample(4711), 0.1) == []
    assert session.phase is Phase.GREETING


def test_nothing_can_be_asked_before_the_board_has_answered() -> None:
    session = HostSession(NONCE, 0.0)
    with pytest.raises(RuntimeError, match="no session with the board is open; wait for it to answer hello"):
        session.outbox.ask(RUN, 0.0)


# Heartbeat and silence


def test_the_state_is_asked_at_once_and_then_every_400_ms_of_idleness() -> None:
    session = HostSession(NONCE, 0.0)
    (hello,) = sent(session)
    answer(session, hello, 0.1, IDENTITY)
    assert session.wakeup_s() == pytest.approx(0.1)
    session.tick(0.1)
    (first,) = sent(session)
    assert first.command == m.AskState()
    answer(session, first, 0.11, IDLE)
    say(session, sample(1), 0.4)
    assert session.wakeup_s() == pytest.approx(0.5)
    assert session.tick(0.49) == []
    assert sent(session) == []
    session.tick(0.5)
    assert commands(session) == [m.AskState()]


def test_the_answer_to_a_heartbeat_is_passed_on() -> None:
    session = opened()
    say(session, sample(1), 0.3)
    session.tick(0.4)
    (heartbeat,) = sent(session)
    (event,) = answer(session, heartbeat, 0.41, IDLE)
    assert isinstance(event, Answered)
    assert (event.command, event.body) == (m.AskState(), IDLE)


def test_other_requests_put_the_heartbeat_off() -> None:
    session = opened()
    session.outbox.ask(m.Keep(0, 400), 0.3)
    (keep,) = sent(session)
    answer(session, keep, 0.31)
    session.tick(0.5)
    assert sent(session) == []
    session.tick(0.7)
    assert commands(session) == [m.AskState()]


def test_silence_closes_after_half_a_second() -> None:
    session = opened()
    say(session, sample(1), 1.0)
    session.tick(1.499)
    assert session.phase is Phase.OPEN
    assert "nothing heard for 500 ms; check cable and board supply" in closing(session.tick(1.5))


def test_noise_is_not_hearing() -> None:
    session = opened()
    assert session.receive(b"#1 2 3 00 -*0000\n", 0.4) == []
    assert session.noise.bad_crc == 1
    assert "nothing heard" in closing(session.tick(0.5))


def test_an_intact_frame_that_is_no_message_is_noise() -> None:
    session = opened()
    assert session.receive(b"123456789*29B1\n", 0.1) == []
    assert session.noise.malformed == 1


# Samples


def test_missing_samples_are_counted_at_the_next_one() -> None:
    session = opened()
    events = [
        *say(session, sample(65534), 0.1),
        *say(session, sample(65535), 0.1),
        *say(session, sample(2), 0.1),
    ]
    assert events == [
        SampleArrived(sample(65534), 0),
        SampleArrived(sample(65535), 0),
        SampleArrived(sample(2), 2),
    ]


def test_a_repeated_sample_is_dropped() -> None:
    session = opened()
    assert say(session, sample(7), 0.1) == [SampleArrived(sample(7), 0)]
    assert say(session, sample(7), 0.1) == []
    assert say(session, sample(6), 0.1) == []
    assert say(session, sample(8), 0.1) == [SampleArrived(sample(8), 0)]


# Events

DOWN = m.Button(m.Press.DOWN, 1000)


def test_missing_events_are_counted_and_the_state_is_asked() -> None:
    session = opened()
    assert say(session, m.Event(0, DOWN), 0.1) == [Reported(DOWN, 0)]
    assert say(session, m.Event(3, DOWN), 0.1) == [Reported(DOWN, 2)]
    assert session.wakeup_s() == pytest.approx(0.1)
    session.tick(0.1)
    assert commands(session) == [m.AskState()]


def test_after_a_gap_the_state_goes_before_requests_that_wait() -> None:
    session = opened()
    session.outbox.ask(m.Show(0, "Fogbank"), 0.1)
    session.outbox.ask(m.Show(1, "180 g"), 0.1)
    (first,) = sent(session)
    say(session, m.Event(1, DOWN), 0.11)
    answer(session, first, 0.12)
    (state,) = sent(session)
    assert state.command == m.AskState()
    answer(session, state, 0.13, m.BoardState(frozenset(), False, 0, 0, None, 2))
    assert commands(session) == [m.Show(1, "180 g")]


def test_a_repeated_event_is_dropped() -> None:
    session = opened()
    assert say(session, m.Event(0, DOWN), 0.1) == [Reported(DOWN, 0)]
    assert say(session, m.Event(0, DOWN), 0.1) == []


def test_event_numbers_wrap() -> None:
    session = opened()
    numbers = [*range(256), 0, 1]
    missed = [event for number in numbers for event in say(session, m.Event(number, DOWN), 0.1)]
    assert missed == [Reported(DOWN, 0)] * len(numbers)


def test_the_state_shows_events_of_which_no_later_one_tells() -> None:
    session = opened()
    say(session, m.Event(0, DOWN), 0.1)
    session.tick(0.4)
    (heartbeat,) = sent(session)
    stopped = m.BoardState(frozenset(), False, 0, 3, m.StopCause.CEILING, 3)
    missed, told = answer(session, heartbeat, 0.41, stopped)
    assert missed == ReportsMissed(2)
    assert isinstance(told, Answered)
    assert told.body == stopped
    assert say(session, m.Event(3, DOWN), 0.5) == [Reported(DOWN, 0)]


# How it ends


def test_a_boot_event_closes() -> None:
    session = opened()
    reason = closing(say(session, m.Event(0, m.Booted(m.ResetCause.BROWNOUT, False)), 0.1))
    assert "restarted (cause: brownout); check its supply" in reason


def test_a_lost_session_closes_and_ends_every_ticket() -> None:
    session = opened()
    asked, waiting = session.outbox.ask(RUN, 0.1), session.outbox.ask(m.Show(0, "Fogbank"), 0.1)
    (run,) = sent(session)
    events = answer(session, run, 0.11, m.Refused(m.Refusal.SESSION))
    assert events[0] == Answered(asked, RUN, m.Refused(m.Refusal.SESSION))
    assert isinstance(events[1], Unanswered)
    assert events[1].ticket == waiting
    assert "lost the session" in closing(events)


def test_after_the_close_nothing_is_sent_said_or_kept() -> None:
    session = opened()
    session.outbox.ask(RUN, 0.1)
    say(session, m.Event(0, m.Booted(m.ResetCause.POWER, False)), 0.1)
    assert session.outbox.take_lines() == b""
    assert session.wakeup_s() is None
    assert say(session, sample(1), 0.2) == []
    assert session.tick(9.0) == []
    with pytest.raises(RuntimeError, match="no session with the board is open"):
        session.outbox.ask(m.Stop(), 0.2)


def test_lines_behind_the_one_that_closes_are_not_passed_on() -> None:
    session = opened()
    boot = encode_from_board(m.Event(0, m.Booted(m.ResetCause.POWER, False)))
    events = session.receive(boot + encode_from_board(sample(1)) + boot, 0.1)
    assert [type(event) for event in events] == [Closed]


def test_an_earlier_time_counts_as_the_latest_one() -> None:
    session = opened()
    say(session, sample(1), 5.0)
    session.tick(3.0)
    say(session, sample(2), 2.0)
    session.tick(5.49)
    assert session.phase is Phase.OPEN
    assert "nothing heard" in closing(session.tick(5.5))
