"""The machine as scripts: requests that wait for each other, failing writes, an emergency stop that holds."""

from dataclasses import replace

from machine_at_rest import STEP_S, At
from machine_double import BOARD, CALIBRATION
from playbook import Some
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.maintenance import NEW_TUBE, TubeState
from tarewell.dosing.plan import DosePlan, PlanError, PourPlan
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import PourState
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.machine import events as ev
from tarewell.machine import requests as r
from tarewell.machine.effects import (
    AddCalibration,
    Answer,
    AppendEvent,
    Command,
    Find,
    FinishPour,
    Persist,
    Refuse,
    Write,
)
from tarewell.machine.known import Known
from tarewell.machine.pour_record import NewPour, PourRecord
from tarewell_protocol import messages as m
from tarewell_protocol import session as s

DRINK = r.PourRequest(PourPlan((DosePlan(1, "house-water", 30.0),)), "api")
KEYED = r.PourRequest(DRINK.plan, "api", "key", "print")
ESTOP, STOP, SELF_TEST = Command(m.EmergencyStop()), Command(m.Stop()), Command(m.AskSelfTest())


def noted(kind: str) -> Some[Persist]:
    return Some(Persist, change=Some(AppendEvent, kind=kind))


def record(pour_id: str, replayed: bool = False) -> PourRecord:
    return PourRecord(
        id=pour_id,
        machine_id="interval-bar",
        created_at=None,  # type: ignore[arg-type]
        origin="api",
        program_version="0.1.0",
        board_id=None,
        board_firmware=None,
        idempotency_key=None,
        doses=(),
        outcome=None,
        replayed=replayed,
    )


def test_a_second_request_waits_for_the_first_intent_and_finds_the_machine_busy() -> None:
    at = At(load_g=250.0)
    intent = Some(Write, change=Some(NewPour))
    assert at.play >> ev.Requested(1, DRINK) << intent >> ev.Requested(2, DRINK)
    assert at.machine.is_pouring
    first, refused = record("first"), Some(Refuse, number=2)
    play = at.play
    assert play >> ev.WriteDone(intent().key, first) << noted("pour_state") << Answer(1, first) << refused
    error = refused().error
    assert isinstance(error, r.MachineBusyError)
    assert error.owner_id == "first"


def test_an_intent_that_cannot_be_written_begins_nothing_and_lets_the_next_one_try() -> None:
    at, full = At(load_g=250.0), OSError("the disk is full")
    first, second = Some(Write, change=Some(NewPour)), Some(Write, change=Some(NewPour))
    assert (
        at.play
        >> ev.Requested(1, DRINK)
        << first
        >> ev.Requested(2, DRINK)
        >> ev.WriteFailed("write 1", full)
        << second
        << Refuse(1, full)
    )
    assert (first().key, second().key) == ("write 1", "write 2")
    assert at.machine.state(at.now_s).status.pour_id is None


def test_an_intent_that_is_written_too_late_is_closed_and_no_pump_turns() -> None:
    at = At(load_g=250.0)
    closed, refused = Some(Persist, change=Some(FinishPour, pour_id="late")), Some(Refuse, number=1)
    assert (
        at.play
        >> ev.Requested(1, DRINK, until_s=at.now_s - 1)
        << Some(Write)
        >> ev.WriteDone("write 1", record("late"))
        << closed
        << refused
    )
    assert isinstance(refused().error, r.NotAnsweredError)
    assert not at.machine.is_pouring


def test_a_key_that_was_used_before_gets_its_pour_whatever_blocks_new_ones() -> None:
    at, earlier = At(Known()), record("earlier", replayed=True)
    play = at.play
    assert (
        play
        >> ev.Requested(1, KEYED)
        << Find("write 1", "key", "print", "pour")
        >> ev.WriteDone("write 1", earlier)
        << Answer(1, earlier)
        >> ev.Requested(2, KEYED)
        << Find("write 2", "key", "print", "pour")
        >> ev.WriteDone("write 2", None)
        << Some(Refuse, number=2)
    )


def test_a_zero_holds_from_its_write_on_and_requests_for_the_platform_wait() -> None:
    at = At(load_g=10.0)
    zero = Some(Write, change=Some(AddCalibration, how="zero"))
    assert at.play >> ev.Requested(1, r.SetZero()) << zero >> ev.Requested(2, r.ReadEmpty())
    shown = at.machine.state(at.now_s).status.indication
    assert shown is not None
    assert round(shown.gross_g) == 10
    told = Some(Answer, number=1)
    assert at.play >> ev.WriteDone(zero().key) << told << Some(Answer, number=2)
    assert abs(told().result.gross_g) < 0.01


def test_a_zero_that_cannot_be_written_leaves_the_old_one() -> None:
    at, full = At(load_g=10.0), OSError("the disk is full")
    play = at.play
    assert (
        play
        >> ev.Requested(1, r.SetZero())
        << Some(Write)
        >> ev.WriteFailed("write 1", full)
        << Refuse(1, full)
    )
    shown = at.machine.state(at.now_s).status.indication
    assert shown is not None
    assert round(shown.gross_g) == 10


def test_a_new_tube_is_written_once_and_knows_nothing_of_the_old_one() -> None:
    taught = {(1, "house-water"): InFlight(0.3, 0.02, 8.0, 9), (4, "cordial"): InFlight(0.2, 0.02, 5.0, 9)}
    tubes = {1: TubeState().filled("house-water"), 4: TubeState().filled("cordial")}
    seen = {(1, "house-water"): SeenDrips().learn(0.2)}
    at = At(Known(calibration=CALIBRATION, inflight=taught, tubes=tubes, drips=seen), load_g=250.0)
    both = r.PourRequest(PourPlan((*DRINK.plan.doses, DosePlan(4, "cordial", 20.0))), "api")
    intent, change = Some(Write, change=Some(NewPour)), AppendEvent("tube_changed", {"channel": 1})
    full = OSError("the disk is full")
    assert (
        at.play
        >> ev.Requested(1, r.ChangeTube(1))
        << Write("write 1", change)
        >> ev.WriteFailed("write 1", full)
        << Refuse(1, full)
    )
    assert at.machine.state(at.now_s).tubes == tubes
    assert (
        at.play
        >> ev.Requested(2, r.ChangeTube(1))
        << Write("write 2", change)
        >> ev.Requested(3, both)
        >> ev.WriteDone("write 2")
        << intent
        << Answer(2)
    )
    assert at.machine.state(at.now_s).tubes == {1: NEW_TUBE, 4: tubes[4]}
    assert list(intent().change.setup.known) == [4]
    assert not intent().change.setup.drips
    assert intent().change.tubes[1] == NEW_TUBE
    refused = PlanError("channel 1 has a new tube", 0)
    assert at.play >> ev.WriteFailed(intent().key, refused) << Refuse(3, refused)
    assert at.play >> ev.Requested(4, r.ChangeTube(1)) << Answer(4)


def test_a_pump_that_nobody_commanded_latches_and_no_pour_is_accepted_before_the_release() -> None:
    at = At(load_g=250.0)
    refused = Some(Refuse, number=1)
    assert (
        at.play >> at.sample(250.0, running=4) << STOP << ESTOP << noted("emergency_stop") << noted("alarm")
    )
    assert at.play >> ev.Requested(1, DRINK) << refused
    assert "latched" in str(refused().error)


def feeding(at: At) -> None:
    """Bring a pour of water to where its pump is commanded on."""
    at.machine.handle(ev.Requested(1, DRINK), at.now_s)
    at.machine.handle(ev.WriteDone("write 1", record("pour-1")), at.now_s)
    for number in range(160):
        at.now_s += STEP_S
        effects = at.machine.handle(at.sample(250.0 + 0.01 * (number % 2)), at.now_s)
        if any(isinstance(effect, Command) and isinstance(effect.command, m.Run) for effect in effects):
            return
    raise AssertionError("no pump was commanded on")


def progress(at: At) -> PourProgress:
    found = at.machine.state(at.now_s).pour
    assert found is not None
    return found


def test_a_second_pump_ends_the_pour_under_its_own_name_and_channel() -> None:
    at = At(load_g=250.0)
    feeding(at)
    at.now_s += STEP_S
    effects = at.machine.handle(at.sample(250.0, running=0b101), at.now_s)
    assert [effect for effect in effects if effect in (ESTOP, STOP)] == [ESTOP, STOP]
    assert alarms(at) == ["uncommanded_pump-3"]
    assert at.machine.state(at.now_s).status.latched
    assert progress(at).state is PourState.ABORTING
    at.now_s += STEP_S
    effects = at.machine.handle(at.sample(250.0, latched=True), at.now_s)
    changes = [effect.change for effect in effects if isinstance(effect, Persist)]
    (outcome,) = [change for change in changes if isinstance(change, FinishPour)]
    assert outcome.ended.cause == "uncommanded_pump"


def test_an_emergency_stop_that_somebody_triggers_says_so() -> None:
    for pouring in (False, True):
        at = At(load_g=250.0)
        if pouring:
            feeding(at)
        at.machine.handle(ev.Requested(9, r.TriggerEmergencyStop()), at.now_s)
        at.now_s += STEP_S
        at.machine.handle(at.sample(250.0, latched=True), at.now_s)
        (found,) = at.machine.state(at.now_s).status.alarms
        assert (found.id, found.alarm.detail) == ("emergency_stop", "somebody triggered it")


def test_a_flow_far_above_the_usual_holds_the_pour_which_shows_why() -> None:
    at = At(Known(calibration=CALIBRATION, inflight={(1, "house-water"): InFlight(0.3, 0.02, 2.0, 9)}), 250.0)
    feeding(at)
    load_g = 250.0
    for _ in range(400):
        at.now_s += STEP_S
        load_g += 5.0 * STEP_S
        at.machine.handle(at.sample(load_g, running=1), at.now_s)
        if progress(at).alarm is not None:
            break
    held = progress(at)
    assert held.state is PourState.HOLDING
    assert held.alarm is not None
    assert (held.alarm.name, held.alarm.channel) == ("excess_flow", 1)
    assert alarms(at) == ["excess_flow-1"]


def rising(at: At, seconds: float, g_per_s: float, latched: bool = False) -> list[object]:
    """All effects while the load of 250 g rises."""
    effects: list[object] = []
    for number in range(round(seconds / STEP_S)):
        effects += at.machine.handle(at.sample(250.0 + g_per_s * number * STEP_S, latched=latched), at.now_s)
        at.now_s += STEP_S
    return effects


def alarms(at: At) -> list[str]:
    return [found.id for found in at.machine.state(at.now_s).status.alarms]


def test_a_rise_that_was_told_hides_no_running_pump() -> None:
    at = At(load_g=250.0)
    told = rising(at, 3.0, 2.0)
    assert told.count(STOP) == 1
    assert ESTOP in told
    assert Persist(AppendEvent("emergency_stop", {"origin": "watch"})) in told
    assert alarms(at) == ["unexpected_mass"]
    assert at.play >> at.sample(256.0, running=4, latched=True) << STOP << ESTOP << noted("alarm")
    assert sorted(alarms(at)) == ["uncommanded_pump-3", "unexpected_mass"]


def test_mass_that_falls_between_pours_is_told_and_latches_nothing() -> None:
    at = At(load_g=250.0)
    told = rising(at, 3.0, -2.0)
    assert ESTOP not in told
    assert alarms(at) == ["mass_falling"]
    assert not at.machine.state(at.now_s).status.latched


def test_an_emergency_stop_is_set_again_on_a_new_link_and_on_a_board_that_forgot_it() -> None:
    at = At(Known(calibration=CALIBRATION, latched=True))
    assert at.machine.state(at.now_s).status.latched
    lost = s.Closed("nothing heard")
    play = at.play
    assert play >> lost >> s.Opened(BOARD) << ESTOP << Command(m.AskLimits()) << SELF_TEST
    assert play >> at.sample(latched=True) << noted("alarm")
    forgetful = at.machine.handle(at.sample(), play.now_s + 1.0)
    assert ESTOP in forgetful


def test_a_lost_pump_supply_is_named_and_blocks_until_it_is_back_and_the_stop_released() -> None:
    at = At(load_g=250.0)
    for _ in range(2):
        at.machine.handle(at.sample(250.0, latched=True, supply_off=True), at.now_s)
    assert alarms(at) == ["supply_lost"]
    supply, stop = at.machine.state(at.now_s).status.blockers
    assert "pump supply is off" in supply
    assert "supply_lost" in stop
    at.machine.handle(at.sample(250.0, latched=True), at.now_s)
    (stop,) = at.machine.state(at.now_s).status.blockers
    assert "release" in stop


def test_a_stop_that_the_board_reports_of_itself_is_the_boards() -> None:
    at = At(load_g=250.0)
    told = at.machine.handle(at.sample(250.0, latched=True), at.now_s)
    assert Persist(AppendEvent("emergency_stop", {"origin": "board"})) in told


def test_an_open_interlock_blocks_as_long_as_it_is_open() -> None:
    at = At(load_g=250.0)
    at.machine.handle(at.sample(250.0, interlock_open=True), at.now_s)
    (blocker,) = at.machine.state(at.now_s).status.blockers
    assert "interlock is open" in blocker
    at.machine.handle(at.sample(250.0), at.now_s)
    assert at.machine.state(at.now_s).status.blockers == ()


def test_the_release_holds_though_a_sample_tells_of_it_before_the_answer() -> None:
    at = At(Known(calibration=CALIBRATION, latched=True))
    release = Some(Command, command=m.ReleaseEmergencyStop())
    play = at.play
    assert play >> ev.Requested(1, r.ReleaseLatchedStop()) << release
    assert ESTOP not in at.machine.handle(at.sample(), play.now_s + 1.0)
    done = s.Answered(release().ticket, m.ReleaseEmergencyStop(), m.Done())
    assert play >> done << noted("emergency_stop_released") << Answer(1)
    assert not at.machine.state(play.now_s).status.latched


def test_a_board_that_failed_its_self_test_blocks_until_another_answers() -> None:
    at = At()
    found = m.SelfTest(m.SelfTestVerdict.BAD, 0x1234, m.SelfTestVerdict.OK, 0)
    at.machine.handle(s.Answered(5, m.AskSelfTest(), found), at.now_s)
    status = at.machine.state(at.now_s).status
    assert status.self_test == found
    (blocker,) = status.blockers
    assert "program damaged; flash the firmware again" in blocker
    at.connect()
    status = at.machine.state(at.now_s).status
    assert (status.self_test, status.blockers) == (None, ())


def test_a_lost_link_refuses_what_waits_for_the_board() -> None:
    at, refused = At(), Some(Refuse, number=1)
    assert at.play >> ev.Requested(1, r.ReadCounters()) << Some(Command) >> s.Closed("cable out") << refused
    assert "cable out" in str(refused().error)
    assert isinstance(refused().error, r.NotReadyError)


def test_a_pour_setup_is_stored_as_the_machine_decides_with_it() -> None:
    at, intent = At(load_g=250.0), Some(Write, change=Some(NewPour))
    assert at.play >> ev.Requested(1, KEYED) << intent
    new = intent().change
    assert (new.idempotency_key, new.board_id, new.board_channels) == ("key", BOARD.board_id, BOARD.channels)
    assert new.setup.calibration == CALIBRATION
    assert new.setup.sample_rate_hz == BOARD.sample_rate_hz


def pouring(at: At) -> m.Run:
    """A pour at its first run."""
    intent = Some(Write, change=Some(NewPour))
    assert at.play >> ev.Requested(1, DRINK) << intent
    effects = at.machine.handle(ev.WriteDone(intent().key, record("drink")), at.now_s)
    while not (runs := [effect.command for effect in effects if isinstance(effect, Command)]):
        at.now_s += STEP_S
        effects = at.machine.handle(at.sample(250.0), at.now_s)
        assert at.now_s < 120.0
    (run,) = runs
    assert isinstance(run, m.Run)
    return run


def pour_state(at: At) -> PourState:
    shown = at.machine.state(at.now_s).pour
    assert shown is not None
    return shown.state


def test_late_news_of_the_run_before_does_not_end_this_one() -> None:
    """A channel is no name for a run: the report that ends the one before, late, named the same channel."""
    at = At(load_g=250.0)
    run = pouring(at)
    fed = pour_state(at)
    before = replace(run, number=(run.number - 1) % 256)
    late = (
        s.Reported(m.Stopped(before.number, 1, m.StopCause.ADC, 4711, 900), 0),
        s.Answered(77, before, m.Refused(m.Refusal.BUSY)),
        s.Unanswered(78, before, "a stop overtook it"),
    )
    for news in late:
        assert not at.machine.handle(news, at.now_s)
        assert pour_state(at) is fed
    own = s.Reported(m.Stopped(run.number, 1, m.StopCause.ADC, 4712, 0), 0)
    assert STOP in at.machine.handle(own, at.now_s)
    assert alarms(at) == ["adc_silent-1"]


def test_a_renewal_names_the_run_and_the_next_pour_goes_on_counting() -> None:
    at, renewed = At(load_g=250.0), []
    run = pouring(at)
    for _ in range(20):
        at.now_s += STEP_S
        effects = at.machine.handle(at.sample(250.0, running=1), at.now_s)
        renewed += [
            effect.command
            for effect in effects
            if isinstance(effect, Command) and isinstance(effect.command, m.Keep)
        ]
    assert {keep.run for keep in renewed} == {run.number}
    at.machine.handle(s.Closed("cable out"), at.now_s)
    outcome = "outcome of drink"
    at.machine.handle(ev.WriteDone(outcome, None), at.now_s)
    at.connect()
    at.machine.handle(at.sample(0.0), at.now_s)
    for _ in range(200):
        at.now_s += STEP_S
        at.machine.handle(at.sample(0.0), at.now_s)
    for _ in range(100):
        at.now_s += STEP_S
        at.machine.handle(at.sample(250.0), at.now_s)
    assert pouring(at).number == run.number + 1
