"""A drink poured at the knob of the real daemon's board: no request of any client but to set the bar up."""

import pytest

from stack import Stack


def _reads(stack: Stack, *words: str) -> str:
    """Wait until all of these can be read on the display; what it shows then. A note that the computer is
    busy is confirmed, as a person would."""

    def read() -> str | None:
        text = "\n".join(line.rstrip() for line in stack.bench.truth()["lcd"])
        if "Host busy" in text and "press:ok" in text:
            stack.bench.call("press")
        return text if all(word in text for word in words) else None

    found: str = stack.wait(read, limit_s=60.0)
    return found


def test_a_drink_from_power_up_to_the_result_with_knob_and_display_alone(stack: Stack) -> None:
    before_g = stack.bench.truth()["delivered_g"][4]
    assert stack.stop() == 0
    stack.bench.call("restart_board")
    stack.start()
    _reads(stack, "[House Water]", "1/5")
    stack.bench.call("turn", steps=3)
    _reads(stack, "[Prompter's Cordial]", "4/5")
    stack.bench.call("press")
    _reads(stack, "[40 ml]")
    stack.bench.call("turn", steps=-15)
    _reads(stack, "[25 ml]")
    stack.bench.call("press")
    _reads(stack, "Put a glass on", "0 of 25 ml", "press:stop")
    stack.bench.call("place_glass")
    _reads(stack, "Prompter's Cordial", " of 25 ml", "###")
    shown = _reads(stack, "Done, ", "in tolerance").splitlines()

    (listed,) = stack.api.get("/pours", params={"channel": 4, "limit": 1}).json()
    record = stack.read(listed["id"])
    assert record["origin"] == "panel"
    assert record["state"] == "complete"
    (dose,) = record["doses"]
    delivered_ml = float(shown[0].removeprefix("Done, ").removesuffix(" ml"))
    assert delivered_ml == pytest.approx(25, abs=1.0)
    assert delivered_ml * dose["target_g"] / 25 == pytest.approx(dose["delivered_g"], abs=0.1)
    assert stack.bench.truth()["delivered_g"][4] - before_g == pytest.approx(dose["delivered_g"], abs=0.6)

    stack.bench.call("press")
    _reads(stack, "[Prompter's Cordial]", "4/5")


def test_a_press_stops_what_a_client_began(stack: Stack) -> None:
    begun = stack.pour({"channel": 1, "amount_g": 120})
    stack.wait(lambda: stack.bench.truth()["pump_on"])
    stack.bench.call("press")
    assert stack.finished(begun["id"])["state"] == "stopped"
    _reads(stack, "Stopped, ", "House Water")
