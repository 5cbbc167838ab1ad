"""What ends a run on the firmware's board, as transcripts; section numbers are those of protocol/SPEC.md."""

import pytest

from firmware_host import HostBoard, library
from tarewell_protocol.framing import BOARD_LINE_MAX, HOST_LINE_MAX, LineReader, encode_frame

WRAP_MS = 2**32


class LimitedBoard:
    """A board with an open session and a conversion every 12 ms, from some time of its clock on."""

    def __init__(self, start_ms: int = 0, config: str = "", counts: int = 500) -> None:
        self.board = HostBoard(config, now_ms=start_ms)
        self.start_ms, self.passed_ms, self.counts = start_ms, 0, counts
        self.converting = True
        self._reader = LineReader(BOARD_LINE_MAX)
        self.run(24)
        self.ask(">F0 hello 2 0001")

    @property
    def now_ms(self) -> int:
        return self.start_ms + self.passed_ms

    def said(self) -> list[str]:
        """Without samples."""
        return [body for body in self._reader.feed(self.board.output()) if not body.startswith("#")]

    def ask(self, body: str) -> list[str]:
        self.board.receive(encode_frame(body, HOST_LINE_MAX), self.now_ms)
        return self.said()

    def run(self, ms: int) -> list[str]:
        """Lets time pass; what the board said, each with the millisecond since the start."""
        said = []
        for _ in range(ms):
            self.passed_ms += 1
            self.board.tick(self.now_ms)
            if self.converting and self.passed_ms % 12 == 0:
                self.board.convert(self.counts, self.now_ms)
            said += [f"{self.passed_ms} {body}" for body in self.said()]
        return said


@pytest.mark.parametrize("start_ms", [0, WRAP_MS - 100])
def test_a_lease_ends_the_run_to_the_millisecond_also_over_the_wrap_of_the_clock(start_ms: int) -> None:
    talk = LimitedBoard(start_ms)
    assert talk.ask(">01 run 01 3 f 255 400 a9000 5000") == ["<01 ok"]
    assert talk.board.left_ms(talk.now_ms) == 150  # it runs no longer without a conversion
    assert talk.run(399) == []
    assert talk.board.drive() == (3, False, 255)
    clock = (start_ms + 424) % WRAP_MS
    assert talk.run(1) == [f"424 !01 stopped 01 3 lease {clock} 400"]
    assert talk.board.drive() == (0, False, 0)
    assert talk.run(500) == []


def test_keep_renews_and_a_repeated_run_does_not() -> None:
    talk = LimitedBoard()
    run = ">01 run 01 3 f 255 400 a9000 5000"
    assert talk.ask(run) == ["<01 ok"]
    talk.run(300)
    assert talk.ask(run) == ["<01 ok"]
    talk.run(50)
    assert talk.ask(">02 keep 01 200") == ["<02 ok"]
    assert talk.run(200) == ["574 !01 stopped 01 3 lease 574 550"]


@pytest.mark.parametrize("start_ms", [0, WRAP_MS - 1000])
def test_the_time_limit_ends_what_is_renewed_for_ever(start_ms: int) -> None:
    talk = LimitedBoard(start_ms)
    talk.ask(">01 run 01 3 f 255 400 a9000 2000")
    said = []
    for number in range(2, 30):
        said += [line for line in talk.run(100) if "stopped" in line]
        talk.ask(f">{number:02X} keep 01 400")
    assert said == [f"2024 !01 stopped 01 3 time {(start_ms + 2024) % WRAP_MS} 2000"]


def test_a_new_run_for_the_same_channel_counts_its_time_anew_and_its_length_from_the_start() -> None:
    talk = LimitedBoard()
    talk.ask(">01 run 01 3 f 255 400 a9000 300")
    talk.run(200)
    assert talk.ask(">02 run 01 3 f 100 470 a9000 300") == ["<02 ok"]
    assert talk.board.drive() == (3, False, 100)
    assert talk.run(300) == ["524 !01 stopped 01 3 time 524 500"]


@pytest.mark.parametrize(
    ("ceiling", "below", "at"), [("a1000", 999, 1000), ("b400", 401, 400), ("b-7", -6, -7), ("a-7", -8, -7)]
)
def test_the_ceiling_ends_the_run_at_the_conversion(ceiling: str, below: int, at: int) -> None:
    talk = LimitedBoard(counts=below)
    assert talk.ask(f">01 run 01 1 r 255 400 {ceiling} 5000") == ["<01 ok"]
    assert talk.run(12) == []
    talk.counts = at
    assert talk.run(12) == ["48 !01 stopped 01 1 ceiling 48 24"]
    assert talk.ask(f">02 run 01 1 r 255 400 {ceiling} 5000") == ["<02 no ceiling"]


@pytest.mark.parametrize("counts", [-400_001, 2_400_001])
def test_a_reading_outside_the_boards_limits_ends_the_run_whatever_the_ceiling(counts: int) -> None:
    talk = LimitedBoard()
    assert talk.ask(">01 run 01 1 f 255 400 a2400000 5000") == ["<01 ok"]
    talk.counts = counts
    assert talk.run(12) == ["36 !01 stopped 01 1 limit 36 12"]


def test_a_silent_adc_ends_the_run_after_150_ms_and_forbids_another() -> None:
    talk = LimitedBoard()
    talk.ask(">01 run 01 1 f 255 470 a9000 5000")
    talk.converting = False
    assert talk.run(150) == ["174 !01 stopped 01 1 adc 174 150"]
    assert talk.ask(">02 run 01 1 f 255 470 a9000 5000") == ["<02 no adc"]


def test_a_conversion_as_old_as_the_whole_clock_is_not_taken_for_fresh() -> None:
    talk = LimitedBoard()
    talk.converting = False
    talk.run(150)
    talk.start_ms += WRAP_MS - 150  # the clock stands again where the last conversion came
    assert talk.ask(">01 run 01 1 f 255 400 a9000 5000") == ["<01 no adc"]


FULL_RANGE = "-DTW_LOWEST_COUNTS=-8388608L -DTW_HIGHEST_COUNTS=8388607L"


def test_a_saturated_adc_ends_the_run_and_forbids_another_also_without_limits() -> None:
    talk = LimitedBoard(config=FULL_RANGE)
    talk.ask(">01 run 01 1 f 255 400 a9000 5000")
    talk.counts = -(2**23)
    assert talk.run(12) == ["36 !01 stopped 01 1 adc 36 12"]
    assert talk.ask(">02 run 01 1 f 255 400 a9000 5000") == ["<02 no adc"]


def test_one_pump_at_a_time_and_one_direction() -> None:
    talk = LimitedBoard()
    assert talk.ask(">01 run 01 1 f 255 400 a9000 5000") == ["<01 ok"]
    assert talk.ask(">02 run 01 2 f 255 400 a9000 5000") == ["<02 no busy"]
    assert talk.ask(">03 run 01 1 r 255 400 a9000 5000") == ["<03 no busy"]
    assert talk.board.drive() == (1, False, 255)


def test_an_emergency_stop_latches_until_it_is_released() -> None:
    talk = LimitedBoard()
    talk.ask(">01 run 01 1 f 255 400 a9000 5000")
    assert talk.ask(">02 estop") == ["!01 stopped 01 1 estop 24 0", "<02 ok"]
    assert talk.ask(">03 hello 2 0002")[0].startswith("<03 hello 2 ")
    assert talk.ask(">04 run 01 1 f 255 400 a9000 5000") == ["<04 no latched"]
    assert talk.ask(">05 clear") == ["<05 ok"]
    assert talk.ask(">06 run 01 1 f 255 400 a9000 5000") == ["<06 ok"]


def test_a_new_session_stops_what_runs() -> None:
    talk = LimitedBoard()
    talk.ask(">01 run 01 8 r 255 400 a9000 5000")
    assert talk.ask(">02 hello 2 0002")[0] == "!01 stopped 01 8 session 24 0"
    assert talk.board.drive()[0] == 0


@pytest.mark.parametrize(
    ("code", "counts"), [(0, 0), (1, 1), (0x7FFFFF, 8388607), (0x800000, -8388608), (0xFFFFFF, -1)]
)
def test_the_adcs_code_is_twos_complement(code: int, counts: int) -> None:
    assert library().tw_host_counts(code) == counts


@pytest.mark.parametrize(("gap_ms", "lost"), [(150, 0), (151, 1), (249, 1), (250, 1), (251, 2), (350, 3)])
def test_lost_conversions_are_the_nearest_number(gap_ms: int, lost: int) -> None:
    """At 10 a second; a tie goes to the even number of periods, as in the simulated board."""
    talk = LimitedBoard(config="-DTW_SAMPLE_RATE_TENTHS=100")
    talk.converting = False
    talk.board.convert(500, 1000)
    counted = [int(field) for field in talk.ask(">01 stats")[0].split()[6:8]]
    talk.board.convert(500, 1000 + gap_ms)
    after = [int(field) for field in talk.ask(">02 stats")[0].split()[6:8]]
    assert [after[0] - counted[0], after[1] - counted[1]] == [lost, int(lost > 0)]


def test_a_counter_stays_at_its_end() -> None:
    talk = LimitedBoard()
    talk.board.overrun(65_000)
    talk.board.overrun(1_000)
    assert talk.ask(">01 stats")[0].split()[5] == "65535"


def test_samples_give_way_when_nobody_drains_the_line_and_answers_still_fit() -> None:
    talk = LimitedBoard()
    for _ in range(100):
        talk.board.convert(500, talk.now_ms)
    talk.board.receive(encode_frame(">01 state", HOST_LINE_MAX), talk.now_ms)
    talk.board.receive(encode_frame(">02 stop all", HOST_LINE_MAX), talk.now_ms)
    bodies = list(LineReader(BOARD_LINE_MAX).feed(talk.board.output()))
    assert 1 <= sum(body.startswith("#") for body in bodies) < 100
    assert [body[:3] for body in bodies[-2:]] == ["<01", "<02"]


def test_a_flood_of_requests_drops_answers_and_not_stops() -> None:
    talk = LimitedBoard()
    talk.ask(">01 run 01 1 f 255 400 a9000 5000")
    for _ in range(50):
        talk.board.receive(encode_frame(">02 limits", HOST_LINE_MAX), talk.now_ms)
    talk.board.receive(encode_frame(">03 stop all", HOST_LINE_MAX), talk.now_ms)
    assert talk.board.drive()[0] == 0


def test_a_measured_sample_rate_is_told_with_its_tenth_and_the_delay_that_follows() -> None:
    talk = LimitedBoard(config="-DTW_SAMPLE_RATE_TENTHS=783")
    assert talk.ask(">01 hello 2 0001")[0].split()[6:8] == ["78.3", "25"]


def test_the_interlock_and_the_pump_supply_end_a_run() -> None:
    talk = LimitedBoard(config="-DTW_INTERLOCK=1 -DTW_SUPPLY_SENSE=1")
    talk.ask(">01 run 0A 3 f 255 400 a9000 5000")
    talk.board.interlock(True, talk.now_ms)
    assert talk.said() == ["!01 stopped 0A 3 interlock 24 0"]
    talk.board.interlock(False, talk.now_ms)
    talk.ask(">02 run 0B 3 f 255 400 a9000 5000")
    talk.board.supply(True, talk.now_ms)
    assert talk.said() == ["!02 stopped 0B 3 supply 24 0"]
    talk.board.supply(False, talk.now_ms)
    assert talk.ask(">03 run 0C 3 f 255 400 a9000 5000") == ["<03 no latched"]
