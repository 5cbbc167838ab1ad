"""Knob, button and display, seen through from the contacts to the host and from the host to the glass."""

from collections.abc import Callable
from random import Random

import pytest

from avr_desk import AvrDesk, require_avr
from chip_rig import CAUSES
from tarewell_avr.machine import EmulatedMachine
from tarewell_protocol import messages as m

require_avr()

Make = Callable[..., EmulatedMachine]


def _desk(machine: EmulatedMachine, seed: int) -> AvrDesk:
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(seed))
    desk.open()
    return desk


@pytest.mark.parametrize("turns", [[1], [-1], [3, -2], [20], [-127, 5, 60], [1] * 9])
def test_every_detent_of_the_knob_is_reported_once(emulated: Make, turns: list[int]) -> None:
    desk = _desk(emulated(1), 1)
    for turn in turns:
        desk.machine.bench.turn(turn)
        desk.pass_s(0.022 * abs(turn) + desk.random.uniform(0, 0.1))
    desk.pass_s(0.5)
    steps = [body.steps for body in desk.events() if isinstance(body, m.Knob)]
    assert sum(steps) == sum(turns)
    assert sum(map(abs, steps)) == sum(map(abs, turns))


def test_a_knob_turned_while_a_pump_runs_and_the_display_is_written_loses_nothing(emulated: Make) -> None:
    desk = _desk(emulated(2), 2)
    desk.start(5, 470)
    for n in range(20):
        desk.machine.bench.turn(2)
        desk.ask(m.Keep(0, 470))
        desk.ask(m.Show(n % 4, f"step {n}"))
        desk.pass_s(0.1)
    assert sum(body.steps for body in desk.events() if isinstance(body, m.Knob)) == 40
    assert desk.machine.emulated.drives


@pytest.mark.parametrize(("hold_s", "presses"), [(0.06, ["down", "up"]), (1.2, ["down", "long", "up"])])
def test_a_bouncing_button_is_reported_once(emulated: Make, hold_s: float, presses: list[str]) -> None:
    desk = _desk(emulated(3), 3)
    for _ in range(5):
        desk.messages.clear()
        desk.machine.bench.press(hold_s)
        desk.pass_s(hold_s + 0.2)
        assert [body.press for body in desk.events() if isinstance(body, m.Button)] == presses


@pytest.mark.parametrize(("shape", "columns", "rows"), [("20x4", 20, 4), ("16x2", 16, 2)])
def test_what_the_host_shows_stands_on_the_display(
    emulated: Make, shape: str, columns: int, rows: int
) -> None:
    machine = emulated(4, board={"display": shape})
    machine.advance(0.31)
    desk = AvrDesk(machine, Random(4))
    assert desk.open().display == shape
    texts = ["House Water", "0.0 g of 45.0 g", "", "press to pour"][:rows]
    for n, text in enumerate(texts):
        desk.ask(m.Show(n, text))
        desk.pass_s(0.03)
    desk.pass_s(0.3)
    assert machine.truth.lcd == tuple(text.ljust(columns) for text in texts)
    desk.ask(m.Show(1, "17.5 g of 45.0 g"))
    desk.pass_s(0.2)
    assert machine.truth.lcd[1].rstrip() == "17.5 g of 45.0 g"
    assert machine.emulated.chip.figures().display_too_soon == 0


def test_without_a_host_the_display_says_so(emulated: Make) -> None:
    machine = emulated(5)
    machine.advance(1.0)
    assert [line.rstrip() for line in machine.truth.lcd] == ["No host", "Pumps are off", "", ""]
    desk = AvrDesk(machine, Random(5))
    desk.open()
    desk.ask(m.Show(0, "House Water"))
    desk.pass_s(0.3)
    assert [line.rstrip() for line in machine.truth.lcd] == ["House Water", "", "", ""]
    desk.pass_s(3.0)  # the host says nothing more
    assert machine.truth.lcd[0].rstrip() == "No host"


def test_a_display_that_is_not_there_or_comes_later_disturbs_nothing(emulated: Make) -> None:
    machine = emulated(6)
    machine.emulated.chip.attach_display(False)
    desk = _desk(machine, 6)
    desk.start(2, 470)
    desk.ask(m.Show(1, "nobody sees it"))
    desk.pass_s(0.3)
    assert desk.answer() == m.Done()
    assert machine.emulated.drives
    assert machine.truth.lcd == ()
    machine.emulated.chip.attach_display(True)
    desk.keep_up(2.5, 470, 0.0)
    assert machine.truth.lcd[1].rstrip() == "nobody sees it"
    assert machine.emulated.drives


@pytest.mark.parametrize("cause", CAUSES)
def test_the_display_comes_back_after_every_reset(emulated: Make, cause: m.ResetCause) -> None:
    machine = emulated(7)
    desk = _desk(machine, 7)
    for _ in range(3):
        desk.ask(m.Show(0, "Prompter's Cordial"))
        desk.pass_s(desk.random.uniform(0.01, 0.06))  # the reset comes in the middle of writing
        machine.bench.restart_board(cause)
        desk.pass_s(1.2)
        assert [line.rstrip() for line in machine.truth.lcd] == ["No host", "Pumps are off", "", ""]
        desk.open()
