"""Knob, button and display of the simulated board, with the machine and real records, in simulated time."""

import asyncio
from pathlib import Path
from typing import Any

import pytest

from bystander import Bystander, at_the_counter
from tarewell.dosing.plan import DosePlan, PourPlan
from tarewell.exchange.round_planning import RoundRequest
from tarewell.machine.requests import (
    MachineRequest,
    PourRequest,
    ReleaseLatchedStop,
    ShowLine,
    TriggerEmergencyStop,
)
from tarewell.machine.round_record import RoundRecord
from tarewell.menu.allergens import Allergen
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Bottle, Glass, Liquid, Recipe, RecipeDose
from tarewell.quantities.density import from_brix
from tarewell.quantities.units import parse_amount
from tarewell.records.engine import Database
from tarewell.records.errors import DiskFullError
from tarewell.rounds.feasible import Wanted
from tarewell_sim.scenario import load_scenario

GARNISH = HandStep(Hand.GARNISH, "cucumber")
COOLER = Recipe(
    "cooler",
    "Green Room Cooler",
    (RecipeDose("house-water", "20 ml", parse_amount("20 ml")), GARNISH),
    "tumbler",
)


async def put_recipe(counter: Bystander, channel: int = 1) -> None:
    """A drink with a step by hand, in a glass that is recognised, with its bottle on a channel."""
    store = counter.place.store
    await store.glasses.put(Glass("tumbler", "Tumbler", 250.0, 20.0, 230.0, 270.0))
    await store.recipes.put(COOLER)
    await store.bottles.put(Bottle("water-1", "house-water", 700.0, 1000.0, 50.0))
    await store.bottles.mount("water-1", channel)
    await counter.choose("Green Room Cooler")


async def only_round(counter: Bystander) -> RoundRecord:
    """The round that is in the records, once it is over and all is written."""
    await counter.place.until(lambda: counter.place.status.round_id is None)
    await counter.place.interpreter.writer.drain(10)
    (record,) = (await counter.place.store.rounds.list()).rounds
    return record


def test_turn_press_and_a_drink_is_poured_and_recorded_as_the_panels(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]", "1/1")
        await counter.press()
        await counter.reads("[40 ml]", "press:pour")
        await counter.turn(-20)
        await counter.reads("[20 ml]")
        await counter.press()
        await counter.reads("Put a glass on", "0 of 20 ml")
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("Weighing glass")
        await counter.reads("###", "House Water", " of 20 ml", "press:stop", limit_s=60)
        await counter.reads("Done, ", "in tolerance", limit_s=60)
        record = await counter.only_pour()
        assert record.origin == "panel"
        assert record.outcome is not None
        assert record.outcome.state == "complete"
        assert record.outcome.delivered_g is not None
        assert counter.place.machine.truth.glass_contents_g == pytest.approx(20 * 0.9986, abs=0.7)
        shown_ml = float(counter.display[0].removeprefix("Done, ").removesuffix(" ml"))
        assert shown_ml == pytest.approx(record.outcome.delivered_g / 0.9986, abs=0.06)
        await counter.press()
        await counter.reads("[House Water]")

    at_the_counter(tmp_path, scene)


def test_a_press_stops_the_pump_at_once_and_says_how_much_came(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.ask_for_water()
        await counter.pump()
        counter.bench.press(hold_s=0.5)
        await asyncio.sleep(0.1)
        assert not counter.pumping
        await counter.reads("Stopped, ")
        await asyncio.sleep(1.0)
        await counter.reads("Stopped, ")  # letting go of the button has not put the result away
        record = await counter.only_pour()
        assert record.state == "stopped"

    at_the_counter(tmp_path, scene)


def test_an_alarm_shows_its_cure_and_the_knob_restarts_the_pour(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.ask_for_water()
        await counter.pump()
        counter.bench.lift_glass()
        await counter.reads("Glass lifted", "Wipe the platform")
        counter.bench.put_back()
        await counter.turn(50)
        await counter.reads("[Restart]")
        await counter.press()
        await counter.reads("Done, ", limit_s=90)
        record = await counter.only_pour()
        assert record.state == "complete"

    at_the_counter(tmp_path, scene)


def test_a_pour_that_somebody_else_began_is_shown_and_a_press_stops_it(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        place = counter.place
        await place.store.channels.assign(2, "house-water", "right")
        await counter.reads("1/2")
        plan = PourPlan((DosePlan(1, "house-water", 60.0), DosePlan(2, "house-water", 60.0)))
        record = await place.ask(PourRequest(plan, "api"))
        await counter.reads("Put a glass on", "1/2 House Water", "0 of 120 ml")
        await counter.pump()
        await counter.press()
        await counter.reads("Stopped, ", "2 liquids")
        assert (await place.store.pours.get(record.id)).origin == "api"

    at_the_counter(tmp_path, scene)


def test_two_presses_in_a_row_begin_one_pour(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]")
        await counter.press()
        for _ in range(2):
            counter.bench.press(hold_s=0.004)
            await asyncio.sleep(0.008)
        await asyncio.sleep(1.0)
        record = await counter.only_pour()
        assert record.idempotency_key is not None
        assert record.idempotency_key.startswith("panel-")

    at_the_counter(tmp_path, scene)


def test_an_emergency_stop_is_released_by_choosing_it_and_holding_the_button(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        place = counter.place
        await counter.reads("[House Water]")
        await place.ask(TriggerEmergencyStop())
        await counter.reads("Emergency stop", "Remove the cause")
        await counter.press(hold_s=1.5)
        assert place.status.latched
        await counter.press()
        await counter.reads("[Release]")
        await counter.press()
        await counter.reads("Hold the button", "Nothing starts then.")
        await counter.press(hold_s=1.5)
        await counter.reads("[House Water]")
        assert not place.status.latched
        assert not counter.pumping
        assert await counter.pours() == []

    at_the_counter(tmp_path, scene)


def test_without_a_calibration_it_says_so(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("Not ready", "The scale is not")
        await counter.press()
        await counter.turn(1)
        await counter.reads("calibrate it with a", "reference mass")

    at_the_counter(tmp_path, scene, calibrated=False)


def test_an_alarm_between_pours_is_shown_until_somebody_has_seen_it(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]")
        counter.bench.stuck_relay(1, True)
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("Unexpected mass", "Switch the pump")
        counter.bench.stuck_relay(1, False)
        await counter.press()
        await counter.reads("Emergency stop", "Remove the cause")
        (seen,) = counter.place.status.alarms
        assert seen.acknowledged
        await asyncio.sleep(2.0)
        await counter.reads("Emergency stop", "Remove the cause")
        await counter.place.ask(ReleaseLatchedStop())
        await counter.reads("[House Water]")

    at_the_counter(tmp_path, scene)


def test_alarms_are_shown_one_after_the_other_though_the_disk_is_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any, **__: Any) -> Any:
        raise DiskFullError("the disk is full; free some space")

    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]")
        monkeypatch.setattr(Database, "write", full)
        counter.place.interpreter.host_late(0.3)
        await counter.reads("Host busy", "press:ok")
        await counter.place.until(lambda: len(counter.place.status.alarms) == 2)
        await counter.reads("Host busy", "press:ok")
        await counter.press()
        await counter.reads("Records failing", "press:ok")
        await counter.press()
        await counter.reads("Not ready", "The records cannot")
        assert all(found.acknowledged for found in counter.place.status.alarms)
        monkeypatch.undo()
        assert await counter.place.interpreter.writer.drain(10), "it tries again in real time"

    at_the_counter(tmp_path, scene)


def test_a_new_session_finds_its_display_filled(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]")
        counter.bench.restart_board()
        assert "".join(counter.display) == ""
        await counter.reads("[House Water]", "press:next")

    at_the_counter(tmp_path, scene)


def test_a_pour_that_the_link_ended_is_told_when_the_board_is_back(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.ask_for_water()
        await counter.reads("Put a glass on")
        counter.bench.restart_board()
        await counter.reads("Link lost", "press:ok")
        await counter.press()
        await counter.reads("[House Water]")

    at_the_counter(tmp_path, scene)


def test_a_liquid_that_was_changed_meanwhile_is_not_poured(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        place = counter.place
        await counter.reads("[House Water]")
        await counter.press()
        await place.store.channels.assign(1, None, "left")
        await counter.reads("No drinks yet")
        await counter.press()
        assert await counter.pours() == []

    at_the_counter(tmp_path, scene)


def test_a_tube_that_holds_another_liquid_pours_nothing_and_the_display_says_why(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        store = counter.place.store
        syrup = Liquid("circle", "Circle Syrup", from_brix(65.0), 0.0, allergens=frozenset({Allergen.NUTS}))
        await store.liquids.put(syrup)
        await store.channels.assign(2, "circle", "right")
        await store.channels.assign(2, "house-water", "right")
        await store.channels.assign(1, None, "left")
        await put_recipe(counter, 2)
        await counter.press()
        await counter.press()
        said = await counter.reads_on("press:ok", "(no flush guarantees")
        assert "channel 2 still holds Circle Syrup (nuts): flush it with a cleaner, then with water" in said
        await counter.press()
        await counter.choose("House Water")
        await counter.press()
        await counter.press()
        said = await counter.reads_on("Not poured", "(no flush guarantees")
        assert "Channel 2 still holds Circle Syrup (nuts): flush it with a cleaner, then with water" in said
        assert await counter.pours() == []

    at_the_counter(tmp_path, scene)


@pytest.mark.parametrize("lacking", [{"abilities": "rv"}, {"display": None}])
def test_without_knob_or_display_nothing_is_shown_and_nothing_begins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lacking: dict[str, Any]
) -> None:
    fit_board(monkeypatch, **lacking)

    async def scene(counter: Bystander) -> None:
        await counter.place.ready()
        await asyncio.sleep(1.0)
        for _ in range(3):
            await counter.press()
        assert "".join(counter.display) == ""
        assert await counter.pours() == []

    at_the_counter(tmp_path, scene)


def test_a_display_of_two_lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fit_board(monkeypatch, display="16x2")

    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]")
        assert counter.display == ["Drink        1/1", "[House Water]"]
        await counter.press()
        await counter.turn(-30)
        await counter.press()
        await counter.reads("Put a glass on")
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("Done, ", "in tolerance ok?", limit_s=60)

    at_the_counter(tmp_path, scene)


def fit_board(monkeypatch: pytest.MonkeyPatch, **parts: Any) -> None:
    """Give the bar's board other parts."""
    scenario = load_scenario("theatre_bar")
    board = scenario.board.model_copy(update=parts)
    other = scenario.model_copy(update={"board": board})
    monkeypatch.setattr("stepped_bar.load_scenario", lambda _: other)


def test_nothing_is_sent_while_nothing_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def scene(counter: Bystander) -> None:
        await counter.reads("[House Water]", "press:next")
        lines, ask = 0, counter.place.interpreter.ask

        async def counted(request: MachineRequest[Any]) -> Any:
            nonlocal lines
            lines += isinstance(request, ShowLine)
            return await ask(request)

        monkeypatch.setattr(counter.place.interpreter, "ask", counted)
        await asyncio.sleep(5.0)
        assert lines == 0

    at_the_counter(tmp_path, scene)


def test_a_recipe_with_a_step_by_hand_by_knob_alone(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await put_recipe(counter)
        await counter.press()
        await counter.reads("[20 ml]")
        await counter.press()
        await counter.reads("Green Room Cooler", "Put an empty Tumbler")
        counter.bench.place_glass(mass_g=320.0)
        await counter.reads("scale reads 320")
        counter.bench.lift_glass()
        await counter.reads("Put an empty Tumbler")
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("By hand: cucumber", "press:done", limit_s=60)
        await counter.press()
        await counter.reads("[Green Room Cooler]")
        record = await only_round(counter)
        assert (record.state, record.origin) == ("complete", "panel")
        (glass,) = record.glasses
        assert glass.attempts[0].delivered.mass_g == pytest.approx(20.0, abs=1.0)

    at_the_counter(tmp_path, scene)


def test_a_press_while_a_recipe_is_poured_ends_its_round(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await put_recipe(counter)
        await counter.press()
        await counter.press()
        await counter.reads("Put an empty Tumbler")
        await counter.pump()
        await counter.press()
        await counter.reads("Stopped")
        assert not counter.pumping
        record = await only_round(counter)
        assert record.state == "stopped"

    at_the_counter(tmp_path, scene)


def test_a_round_begun_elsewhere_is_decided_at_the_knob(tmp_path: Path) -> None:
    async def scene(counter: Bystander) -> None:
        await put_recipe(counter)
        wanted = [Wanted("cooler"), Wanted("cooler")]
        record = await counter.planner.begin(RoundRequest(wanted, "api"))
        await counter.reads("1/2 Green Room", "Put an empty Tumbler")
        counter.bench.place_glass(mass_g=250.0)
        await counter.reads("The glass is ready", "press:start")
        await counter.turn(2)
        await counter.reads("[Skip glass]")
        await counter.press()
        await counter.reads("2/2 Green Room")
        await counter.press(1.2)
        await counter.place.until(lambda: counter.place.interpreter.state.round_progress(record.id) is None)
        done = await counter.place.store.rounds.get(record.id)
        assert [glass.attempts[0].ending for glass in done.glasses] == ["skipped", "stopped"]

    at_the_counter(tmp_path, scene)
