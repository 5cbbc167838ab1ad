"""The board's side of protocol/SPEC.md as transcripts; section numbers are those of that page."""

from collections.abc import Callable
from typing import Any, TypeAlias

import pytest

from tarewell_protocol.messages import ResetCause
from tarewell_sim.board import Board
from tarewell_sim.specs import AdcSpec, BoardSpec

Make: TypeAlias = Callable[..., Any]

HELLO = "<00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power"
OPEN = f"""
    @0 steady 1000
    @1 >00 hello 2 A3F2
    {HELLO}
"""
RUNNING = f"""
    {OPEN}
    @20 >01 run 01 3 f 255 400 a20000 5000
    <01 ok
"""
ONE_READING = f"""
    @0 adc 0
    @1 >00 hello 2 A3F2
    {HELLO}
"""


# Section 5: session


def test_nothing_is_sent_before_a_session(transcript: Make) -> None:
    transcript().play("""
        @10 adc 500
        @20 down
        @30 turn 3
        @40 up
    """)


def test_boot_is_reported_once_as_event_00() -> None:
    board = Board(BoardSpec(), AdcSpec(), ResetCause.BROWNOUT, 0)
    assert board.output() == b"\n!00 boot brownout 0*" + board_crc("!00 boot brownout 0") + b"\n"
    assert board.output() == b""


def board_crc(body: str) -> bytes:
    """CRC-16/IBM-3740 bit by bit."""
    crc = 0xFFFF
    for byte in body.encode():
        crc ^= byte << 8
        for _ in range(8):
            crc = (crc << 1) ^ 0x1021 if crc & 0x8000 else crc << 1
            crc &= 0xFFFF
    return b"%04X" % crc


def test_a_session_sends_every_conversion(transcript: Make) -> None:
    transcript().play(f"""
        @10 adc 500
        @12 >00 hello 2 0001
        {HELLO}
        @22 adc 501
        #22 2 501 00 -
        @34 adc -77
        #34 3 -77 00 -
    """)


def test_identity_tells_abilities_display_and_reset_cause(transcript: Make) -> None:
    bare = transcript(
        ResetCause.WATCHDOG, abilities="", channels=4, id="wings.2", firmware="2.0-b", display="16x2"
    )
    bare.play("""
        @0 >09 hello 2 FFFF
        <09 hello 2 2.0-b wings.2 4 80.0 25 8388607 - 16x2 watchdog
    """)


def test_the_nonce_of_the_open_session_is_a_repetition(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @30 >02 hello 2 A3F2
        <02 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power
        @40 >03 state
        <03 state 04 0 00 0 - 01
    """)


def test_a_new_nonce_stops_what_runs_and_keeps_the_latch(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @50 >02 hello 2 A3F3
        !01 stopped 01 3 session 50 30
        <02 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power
        @60 >03 estop
        <03 ok
        @70 >04 hello 2 A3F4
        <04 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power
        @80 >05 state
        <05 state 00 1 01 3 session 02
    """)


def test_a_new_session_forgets_answered_requests(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @30 >02 hello 2 A3F3
        !01 stopped 01 3 session 30 10
        <02 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power
        @40 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @50 >03 state
        <03 state 04 0 01 3 session 02
    """)


def test_another_version_is_answered_and_opens_nothing(transcript: Make) -> None:
    transcript().play(f"""
        @1 >00 hello 1 A3F2
        {HELLO}
        @2 adc 5
        @3 >01 state
        <01 no session
    """)


def test_a_board_of_another_version_says_so(transcript: Make) -> None:
    transcript(protocol=7, firmware="7.1").play("""
        @1 >00 hello 2 A3F2
        <00 hello 7 7.1
        @2 >01 state
        <01 no session
    """)


# Section 5: repetition


def test_a_repeated_request_is_answered_again_and_not_carried_out(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @30 >02 stop 3
        !01 stopped 01 3 host 30 10
        <02 ok
        @40 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @50 >03 state
        <03 state 00 0 01 3 host 02
    """)


def test_a_refusal_is_repeated_too(transcript: Make) -> None:
    transcript().play(f"""
        {OPEN}
        @20 >01 run 01 3 f 255 400 a900 5000
        <01 no ceiling
        @30 adc 800
        #30 4 800 00 -
        @31 >01 run 01 3 f 255 400 a900 5000
        <01 no ceiling
    """)


def test_four_requests_are_remembered_and_a_fifth_pushes_the_first_out(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @21 >02 stop 3
        !01 stopped 01 3 host 21 1
        <02 ok
        @22 >03 keep 01 100
        <03 ok
        @23 >04 keep 01 100
        <04 ok
        @24 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @25 >05 state
        <05 state 00 0 01 3 host 02
        @26 >06 keep 01 100
        <06 ok
        @27 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @28 >07 state
        <07 state 04 0 01 3 host 02
    """)


def test_questions_are_answered_afresh_and_push_nothing_out(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @21 >02 state
        <02 state 04 0 00 0 - 01
        @22 >03 stop all
        !01 stopped 01 3 host 22 2
        <03 ok
        @23 >02 state
        <02 state 00 0 01 3 host 02
        @24 >04 state
        <04 state 00 0 01 3 host 02
        @25 >05 limits
        <05 limits 470 120000 -400000 2400000
        @26 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @27 >06 state
        <06 state 00 0 01 3 host 02
    """)


def test_the_same_number_with_other_words_is_another_request(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @21 >01 stop 3
        !01 stopped 01 3 host 21 1
        <01 ok
    """)


# Section 6: outputs


def test_the_lease_ends_a_run(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @419
        @420
        !01 stopped 01 3 lease 420 400
        @900
    """)


def test_keep_and_run_renew_the_lease(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @400 >02 keep 01 300
        <02 ok
        @690 >03 run 01 3 f 100 470 a20000 5000
        <03 ok
        @1159
        @1160
        !01 stopped 01 3 lease 1160 1140
    """)


def test_keep_with_nothing_running_starts_nothing(transcript: Make) -> None:
    transcript().play(f"""
        {OPEN}
        @20 >01 keep 01 400
        <01 ok
        @30 >02 state
        <02 state 00 0 00 0 - 01
    """)


def test_the_time_limit_ends_a_run_in_spite_of_leases_and_counts_from_the_new_request(
    transcript: Make,
) -> None:
    transcript().play(f"""
        {OPEN}
        @20 >01 run 01 3 f 255 470 a20000 500
        <01 ok
        @400 >02 run 01 3 f 128 470 a20000 500
        <02 ok
        @800 >03 keep 01 470
        <03 ok
        @899
        @900
        !01 stopped 01 3 time 900 880
    """)


@pytest.mark.parametrize(
    ("ceiling", "near", "at"), [("a20000", 19999, 20000), ("a20000", -5, 30000), ("b-900", -899, -900)]
)
def test_the_ceiling_ends_a_run_at_the_reading(transcript: Make, ceiling: str, near: int, at: int) -> None:
    transcript().play(f"""
        {ONE_READING}
        @2 >01 run 01 3 f 255 400 {ceiling} 5000
        <01 ok
        @12 adc {near}
        #12 2 {near} 04 -
        @24 adc {at}
        !01 stopped 01 3 ceiling 24 22
        #24 3 {at} 00 -
    """)


def test_the_boards_own_limits_end_a_run(transcript: Make) -> None:
    transcript(lowest_counts=-5000, highest_counts=50000).play(f"""
        {ONE_READING}
        @2 >01 run 01 3 f 255 400 b-5000 5000
        <01 ok
        @12 adc 50001
        !01 stopped 01 3 limit 12 10
        #12 2 50001 00 -
        @13 >02 run 01 3 f 255 400 b-5000 5000
        <02 no limit
        @14 >03 limits
        <03 limits 470 120000 -5000 50000
    """)


def test_no_conversion_for_150_ms_ends_a_run_and_refuses_one(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @5 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @149
        @150
        !01 stopped 01 3 adc 150 145
        @151 >02 run 01 3 f 255 400 a20000 5000
        <02 no adc
        @160 adc 0
        #160 2 0 00 l
        @161 >03 run 01 3 f 255 400 a20000 5000
        <03 ok
    """)


def test_a_board_that_never_saw_a_conversion_runs_nothing(transcript: Make) -> None:
    transcript().play(f"""
        @1 >00 hello 2 A3F2
        {HELLO}
        @2 >01 run 01 3 f 255 400 a20000 5000
        <01 no adc
    """)


@pytest.mark.parametrize("code", [8388607, -8388608])
def test_a_saturated_conversion_ends_a_run(transcript: Make, code: int) -> None:
    transcript().play(f"""
        {ONE_READING}
        @5 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @12 adc {code}
        !01 stopped 01 3 adc 12 7
        #12 2 {code} 00 s
    """)


def test_saturated_within_wide_limits_still_refuses(transcript: Make) -> None:
    transcript(lowest_counts=-(2**23), highest_counts=2**23 - 1).play(f"""
        @0 adc -8388608
        @1 >00 hello 2 A3F2
        {HELLO}
        @5 >01 run 01 3 f 255 400 a20000 5000
        <01 no adc
    """)


def test_stop_one_stop_all_and_stop_what_does_not_run(transcript: Make) -> None:
    transcript().play(f"""
        {RUNNING}
        @30 >02 stop 4
        <02 ok
        @40 >03 state
        <03 state 04 0 00 0 - 01
        @50 >04 stop all
        !01 stopped 01 3 host 50 30
        <04 ok
        @60 >05 stop all
        <05 ok
    """)


def test_the_emergency_stop_latches_until_released(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @5 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @10 >02 estop
        !01 stopped 01 3 estop 10 5
        <02 ok
        @12 adc 0
        #12 2 0 00 e
        @13 >03 run 01 3 f 255 400 a20000 5000
        <03 no latched
        @14 >04 clear
        <04 ok
        @15 >05 run 01 3 f 255 400 a20000 5000
        <05 ok
    """)


def test_stops_need_no_session_and_the_latch_outlasts_hello(transcript: Make) -> None:
    transcript().play("""
        @0 adc 0
        @1 >01 estop
        <01 ok
        @2 >02 stop all
        <02 ok
        @3 >03 hello 2 0001
        <03 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk - power
        @4 >04 run 01 1 f 255 400 a20000 5000
        <04 no latched
    """)


def test_adc_and_time_and_lease_in_one_instant_report_the_first(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @5 >01 run 01 3 f 255 145 a20000 145
        <01 ok
        @150
        !01 stopped 01 3 adc 150 145
    """)
    transcript().play(f"""
        {OPEN}
        @20 >01 run 01 3 f 255 200 a20000 200
        <01 ok
        @220
        !01 stopped 01 3 time 220 200
    """)


# Section 3: refusals, in the order of their table


@pytest.mark.parametrize(
    ("request_body", "answer"),
    [
        ("flush 1", "no verb"),
        ("run 01 3 f 255 400 a20000", "no args"),
        ("run 01 3 f 255 400 20000 5000", "no args"),
        ("run 01 3 f 0255 400 a20000 5000", "no args"),
        ("keep", "no args"),
        ("stop", "no args"),
        ("run 01 9 f 255 471 a20000 5000", "no args"),
        ("run 01 7 f 255 471 a20000 5000", "no range"),
        ("run 01 7 f 255 400 a20000 130000", "no range"),
        ("run 01 7 f 255 400 a2400001 5000", "no range"),
        ("run 01 7 f 255 400 b-400001 5000", "no range"),
        ("keep 01 471", "no range"),
        ("show 2 x", "no range"),
        ("run 01 7 f 255 400 a20000 5000", "no channel"),
        ("stop 7", "no channel"),
        ("run 01 3 r 255 400 a20000 5000", "no busy"),
        ("run 01 2 f 255 400 a20000 5000", "no busy"),
        ("run 01 1 f 255 400 a20000 5000", "ok"),
    ],
)
def test_refused_while_channel_1_runs(transcript: Make, request_body: str, answer: str) -> None:
    transcript(channels=6, display="16x2").play(f"""
        @0 steady 1000
        @1 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 6 80.0 25 8388607 rvk 16x2 power
        @20 >01 run 01 1 f 255 400 a20000 5000
        <01 ok
        @30 >02 {request_body}
        <02 {answer}
        @40 >03 state
        <03 state 01 0 00 0 - 01
    """)


@pytest.mark.parametrize(
    ("request_body", "answer"),
    [
        ("run 01 7 r 9 471 a500 5000", "no range"),
        ("run 01 7 r 9 400 a500 5000", "no channel"),
        ("run 01 1 r 9 400 a500 5000", "no latched"),
        ("keep 01 400", "no session"),
        ("keep 01 471", "no range"),
        ("clear", "no session"),
        ("show 0 x", "no session"),
        ("state", "no session"),
        ("stats", "no session"),
        ("limits", "no session"),
        ("stop 1", "ok"),
        ("estop", "ok"),
    ],
)
def test_refused_while_latched_and_without_a_session(
    transcript: Make, request_body: str, answer: str
) -> None:
    transcript(channels=6, abilities="").play(f"""
        @0 steady 1000
        @1 >01 estop
        <01 ok
        @2 >02 {request_body}
        <02 {answer}
    """)


@pytest.mark.parametrize(
    ("request_body", "answer"),
    [
        ("run 01 1 r 255 400 a500 5000", "no ability"),
        ("run 01 1 f 254 400 a500 5000", "no ability"),
        ("show 0 x", "no ability"),
        ("show 3 x", "no ability"),
        ("run 01 1 f 255 400 a1000 5000", "no ceiling"),
        ("run 01 1 f 255 400 b1000 5000", "no ceiling"),
        ("run 01 1 f 255 400 a1001 5000", "no adc"),
        ("run 01 1 f 255 400 b999 5000", "no adc"),
    ],
)
def test_refused_by_a_plain_board_whose_converter_is_silent(
    transcript, request_body: str, answer: str
) -> None:
    transcript(abilities="").play(f"""
        @0 adc 1000
        @1 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 - - power
        @300 >02 {request_body}
        <02 {answer}
    """)


def test_without_session_comes_before_ceiling_and_adc(transcript: Make) -> None:
    transcript().play("""
        @0 adc 1000
        @300 >01 run 01 1 f 255 400 a500 5000
        <01 no session
    """)


# Section 4: samples and events


def test_button_down_long_and_up(transcript: Make) -> None:
    transcript().play(f"""
        {OPEN}
        @100 down
        !01 button down 100
        @1099
        @1100
        !02 button long 1100
        @1500 up
        !03 button up 1500
        @1600 down
        !04 button down 1600
        @1700 up
        !05 button up 1700
        @3000
    """)


def test_knob_steps_are_signed_and_never_zero(transcript: Make) -> None:
    transcript().play(f"""
        {OPEN}
        @10 turn 3
        !01 knob 3 10
        @20 turn -200
        !02 knob -127 20
        @30 turn 0
    """)


def test_a_board_without_a_knob_reports_none(transcript: Make) -> None:
    transcript(abilities="rv").play("""
        @1 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rv - power
        @10 turn 3
        @20 down
        @2000 up
    """)


def test_event_numbers_wrap(transcript: Make) -> None:
    turns = "\n".join(f"@{10 + n} turn 1\n!{(n + 1) % 256:02X} knob 1 {10 + n}" for n in range(300))
    transcript().play(OPEN + turns)


def test_the_conversion_number_wraps(transcript: Make) -> None:
    line = transcript()
    for n in range(65534):
        line.board.convert(7, n * 12)
    line.now_ms = 65533 * 12
    now_ms = line.now_ms
    line.play(f"""
        @{now_ms + 1} >00 hello 2 A3F2
        {HELLO}
        @{now_ms + 12} adc 7
        #{now_ms + 12} 65535 7 00 -
        @{now_ms + 24} adc 7
        #{now_ms + 24} 0 7 00 -
    """)


def test_the_clock_wraps_at_32_bits_without_disturbing_a_lease() -> None:
    start_ms = 2**32 - 100
    board = Board(BoardSpec(), AdcSpec(), ResetCause.POWER, start_ms)
    board.convert(0, start_ms)
    board.receive(b">00 hello 2 A3F2*F603\n", start_ms)
    board.receive(b">01 run 01 3 f 255 400 a1203941 15000*6920\n", start_ms + 10)
    for ms in range(12, 412, 12):
        board.convert(0, start_ms + ms)
    assert board.due_ms() == start_ms + 410
    board.output()
    board.tick(start_ms + 410)
    assert board.output().startswith(b"!01 stopped 01 3 lease 310 400*")


def test_display_lines_are_cut_and_padded(transcript: Make) -> None:
    line = transcript(display="16x2")
    line.play("""
        @1 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvk 16x2 power
        @2 >01 show 0 Footlight Spirit 2
        <01 ok
        @3 >02 show 1  two  spaces
        <02 ok
        @4 >03 show 1
        <03 no args
    """)
    assert line.board.display == ["Footlight Spirit", " two  spaces    "]


# Section 8: bad input


def test_noise_is_counted_and_never_answered(transcript: Make) -> None:
    line = transcript()
    line.play(f"""
        {OPEN}
        @10 raw >01 stop all*0000\\n
        @11 raw \\xff\\x00garbage\\n
        @12 raw {"x" * 80}\\n
        @13 raw >01 keep
        @14 raw \\n
        @15 >04 stats
        <04 stats 2 3 1 0 0 0 0
    """)


def test_a_good_frame_that_is_no_request_is_counted_as_bad(transcript: Make) -> None:
    line = transcript()
    line.play(OPEN)
    body = b"stop all"
    line.board.receive(body + b"*" + board_crc("stop all") + b"\n", 5)
    line.play("""
        @15 >04 stats
        <04 stats 2 1 0 0 0 0 0
    """)


def test_late_lost_and_saturated_conversions_are_counted(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @13 adc 1
        #13 2 1 00 -
        @50 adc 2
        #50 3 2 00 l
        @62 adc 8388607
        #62 4 8388607 00 s
        @63 >01 stats
        <01 stats 2 0 0 0 2 1 1
    """)


# Run numbers, interlock, pump supply, reversal


def test_a_renewal_of_another_run_renews_nothing(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @2 steady 5
        @20 >01 run 07 3 f 255 400 a20000 5000
        <01 ok
        @300 >02 keep 06 400
        <02 ok
        @420
        !01 stopped 07 3 lease 420 400
    """)


def test_a_run_that_replaces_another_ends_under_its_own_number(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @2 >01 run 07 3 f 255 400 a20000 5000
        <01 ok
        @12 >02 run 08 3 f 80 400 a20000 5000
        <02 ok
        @22 >03 stop 3
        !01 stopped 08 3 host 22 20
        <03 ok
        @23 >04 state
        <04 state 00 0 08 3 host 02
    """)


def test_the_other_direction_waits_until_the_pumps_stand(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @2 steady 5
        @20 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @30 >02 stop 3
        !01 stopped 01 3 host 30 10
        <02 ok
        @129 >03 run 02 4 r 255 400 a20000 5000
        <03 no busy
        @129 >04 run 02 4 f 255 400 a20000 5000
        <04 ok
        @130 >05 stop 4
        !02 stopped 02 4 host 130 1
        <05 ok
        @230 >06 run 03 3 r 255 400 a20000 5000
        <06 ok
    """)


def test_an_open_interlock_stops_and_refuses_until_it_is_closed(transcript: Make) -> None:
    transcript(abilities="rvkip").play("""
        @1 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvkip - power
        @2 adc 5
        #2 1 5 00 -
        @3 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @8 interlock open
        !01 stopped 01 3 interlock 8 5
        @9 >02 run 02 3 f 255 400 a20000 5000
        <02 no interlock
        @14 adc 6
        #14 2 6 00 i
        @15 interlock closed
        @16 >03 run 03 3 f 255 400 a20000 5000
        <03 ok
    """)


def test_a_lost_pump_supply_latches_until_somebody_releases_it(transcript: Make) -> None:
    transcript(abilities="rvkip").play("""
        @1 supply off
        @2 >00 hello 2 A3F2
        <00 hello 2 0.2.0 sim-01 8 80.0 25 8388607 rvkip - power
        @3 adc 5
        #3 1 5 00 p
        @4 >01 run 01 3 f 255 400 a20000 5000
        <01 no supply
        @5 supply on
        @6 >02 run 02 3 f 255 400 a20000 5000
        <02 ok
        @8 supply off
        !01 stopped 02 3 supply 8 2
        @9 supply on
        @10 >03 run 03 3 f 255 400 a20000 5000
        <03 no latched
        @15 adc 6
        #15 2 6 00 e
        @16 >04 clear
        <04 ok
        @17 supply off
        @18 >05 state
        <05 state 00 1 02 3 supply 02
    """)


def test_a_board_without_these_inputs_senses_neither(transcript: Make) -> None:
    transcript().play(f"""
        {ONE_READING}
        @2 >01 run 01 3 f 255 400 a20000 5000
        <01 ok
        @3 interlock open
        @4 supply off
        @5 >02 state
        <02 state 04 0 00 0 - 01
    """)


def test_the_self_test_is_told_and_forbids_runs_where_it_failed(transcript: Make) -> None:
    transcript(self_test="bad", flash_crc=0x5A17, build=0x00C3).play(f"""
        {ONE_READING}
        @2 >01 check
        <01 check bad 5A17 bad 00C3
        @3 >02 run 01 3 f 255 400 a20000 5000
        <02 no fault
    """)


def test_an_emergency_stop_from_before_the_reset_is_told_and_holds() -> None:
    board = Board(BoardSpec(), AdcSpec(), ResetCause.EXTERNAL, 0, latched=True)
    assert board.output() == b"\n!00 boot external 1*" + board_crc("!00 boot external 1") + b"\n"
    assert board.latched
