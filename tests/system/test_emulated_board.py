"""The main job with the real firmware: HTTP client, daemon, PTY, emulated chip in real time."""

import signal
from collections.abc import Iterator

import pytest

from avr_desk import require_avr
from stack import Stack, check_a_two_channel_drink, stacks
from tarewell_avr.building import build_firmware, build_library

require_avr()
PUMP_OFF_S = 0.5


@pytest.fixture(scope="module")
def stack(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stack]:
    """Started, calibrated, stocked."""
    build_library()
    build_firmware(display="20x4")
    for found in stacks(tmp_path_factory.mktemp("emulated"), program="tarewell_avr.__main__"):
        found.start()
        found.set_up()
        yield found


def test_a_two_channel_drink_from_request_to_record(stack: Stack) -> None:
    check_a_two_channel_drink(stack)


def test_a_drink_with_knob_and_display_alone(stack: Stack) -> None:
    def reads(*words: str) -> None:
        def shown() -> bool:
            text = " ".join(stack.bench.truth()["lcd"])
            return all(word in text for word in words)

        stack.wait(shown, limit_s=60.0)

    before_g = stack.bench.truth()["delivered_g"][5]
    if stack.bench.truth()["glass_present"]:
        stack.bench.call("lift_glass")
    assert stack.stop() == 0
    stack.bench.call("restart_board")
    stack.start()
    reads("[House Water]")
    stack.bench.call("turn", steps=4)
    reads("[Gallery Juice]")
    stack.bench.call("press")
    reads("[40 ml]", "press:pour")
    stack.bench.call("turn", steps=-1)
    reads("[39 ml]")
    stack.bench.call("press")
    reads("Put a glass on", "0 of 39 ml", "press:stop")
    stack.bench.call("place_glass")
    reads(" of 39 ml", "###")
    reads("Done, ", "in tolerance")
    poured_g = stack.bench.truth()["delivered_g"][5] - before_g
    assert poured_g == pytest.approx(39 * 1.0381, abs=1.5)
    stack.bench.call("press")
    reads("[Gallery Juice]")


def test_a_reset_in_mid_pour_leaves_no_pump_on_and_is_noticed(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 90})
    stack.wait(lambda: stack.bench.truth()["glass_contents_g"] > 12)
    stack.bench.call("restart_board", cause="brownout")
    assert not stack.bench.truth()["pump_on"]
    record = stack.wait(lambda: (r := stack.read(begun["id"]))["state"] in ("held", "aborted") and r)
    if record["state"] == "held":
        stack.wait(lambda: stack.api.get("/machine").json()["link"]["state"] == "open")
        stack.api.post(f"/pours/{begun['id']}/abort")
    assert stack.finished(begun["id"])["state"] == "aborted"
    stack.wait(lambda: stack.api.get("/ready").status_code == 200)


def test_a_killed_daemon_leaves_no_pump_on(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 90})
    stack.wait(lambda: stack.bench.truth()["glass_contents_g"] > 12)
    stack.stop(signal.SIGKILL)
    stack.wait(lambda: not stack.bench.truth()["pump_on"], PUMP_OFF_S + 0.5)
    stack.wait(lambda: stack.bench.truth()["lcd"][0].startswith("No host"))
    stack.start()
    assert stack.read(begun["id"])["state"] == "interrupted"
