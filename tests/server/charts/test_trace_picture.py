"""The picture of a pour on the simulated machine, compared with what its own record and the plant say."""

from dataclasses import replace
from itertools import groupby

import pytest

from rig import Result, Rig
from tarewell.charts.thinning import Columns
from tarewell.charts.trace_picture import TracePicture, picture_of
from tarewell.dosing import events as e
from tarewell.dosing.alarms import alarm
from tarewell.dosing.events import PourCommand
from tarewell.dosing.states import PourState
from tarewell.dosing.tolerance import permissible_deviation_g
from tarewell.dosing.traces import Trace, TraceEntry

AMOUNTS = [(1, 60.0), (4, 25.0)]


@pytest.fixture(scope="module")
def result() -> Result:
    """Two doses; the operator holds the second one and restarts it."""
    rig = Rig(seed=11)
    rig.begin(AMOUNTS)
    rig.until(lambda: len(rig.result.doses) == 1 and rig.pour.state is PourState.COARSE_FEED, 60.0)
    rig.run_for(0.5)
    rig.command(PourCommand.HOLD)
    rig.run_until_state(PourState.HELD)
    rig.run_for(1.5)
    rig.command(PourCommand.RESTART)
    return rig.finish()


def trace_of(result: Result) -> Trace:
    return [TraceEntry(now_s, item) for now_s, item in result.log]


@pytest.fixture(scope="module")
def picture(result: Result) -> TracePicture:
    return picture_of(trace_of(result), result.setup)


def test_the_steps_are_the_states_with_a_cause_where_somebody_held(
    picture: TracePicture, result: Result
) -> None:
    assert [step.step for step in picture.steps] == result.states[:-1]
    out_of_course = (PourState.HOLDING, PourState.HELD)
    assert {step.cause for step in picture.steps if step.step in out_of_course} == {"hold"}
    assert {step.cause for step in picture.steps if step.step not in out_of_course} == {None}
    for before, after in zip(picture.steps, picture.steps[1:], strict=False):
        assert before.to_s == after.from_s > before.from_s
    (held,) = [step for step in picture.steps if step.step is PourState.HELD]
    assert held.to_s is not None
    assert 1.4 < held.to_s - held.from_s < 2.0


def test_each_dose_has_its_steps_and_its_target(picture: TracePicture, result: Result) -> None:
    first, second = picture.targets
    assert (first.dose, first.start_g, first.target_g) == (0, 0.0, 60.0)
    assert second.start_g == pytest.approx(result.doses[0].delivered_g)
    assert first.tolerance_g == permissible_deviation_g(60.0, result.setup.settings.accuracy_class)
    feeding = [step for step in picture.steps if step.step is PourState.COARSE_FEED]
    assert [dose for dose, _ in groupby(step.dose for step in feeding)] == [0, 1]
    assert first.from_s == pytest.approx(0.0, abs=0.01)
    for target, dose in zip(picture.targets, result.doses, strict=True):
        assert target.to_s is not None
        assert target.to_s - target.from_s == pytest.approx(dose.ended_s - dose.began_s, abs=0.05)


def test_the_last_cut_off_of_a_dose_is_when_its_record_says(picture: TracePicture, result: Result) -> None:
    for target, dose in zip(picture.targets, result.doses, strict=True):
        assert dose.cut_off_s is not None
        after_s = target.from_s + dose.cut_off_s - dose.began_s
        assert min(abs(at_s - after_s) for at_s in picture.cut_offs_s) < 0.1


def test_the_mass_ends_at_what_was_delivered(picture: TracePicture, result: Result) -> None:
    span = picture.readings.span_s
    assert span is not None
    curve = picture.readings.fitted(Columns(400, *span), 0.8)
    tail = [mass_g for mass_g in curve.mass_g[-8:] if mass_g is not None]
    assert sum(tail) / len(tail) == pytest.approx(result.ended.delivered_g, abs=0.3)
    at_tare = [mass_g for t, mass_g in zip(curve.t_s, curve.mass_g, strict=True) if -0.4 < t < -0.1]
    assert at_tare
    assert at_tare == pytest.approx([0.0] * len(at_tare), abs=0.3)


def test_an_alarm_is_a_cause_and_stands_in_the_picture(result: Result) -> None:
    trace = trace_of(result)
    index = next(i for i, entry in enumerate(trace) if entry.item == e.PourCommanded(PourCommand.HOLD))
    raised = e.Raised(alarm("no_flow", "0.2 g in 5.0 s", 4))
    trace[index : index + 1] = [
        TraceEntry(trace[index].now_s, e.Tick()),
        TraceEntry(trace[index].now_s, raised),
    ]
    found = picture_of(trace, result.setup)
    (held,) = [step for step in found.steps if step.step is PourState.HELD]
    (marked,) = found.alarms
    assert (held.cause, marked.alarm) == ("no_flow", raised.alarm)
    assert held.from_s >= marked.at_s


def test_rescaled_targets_are_shown_beside_the_plan(result: Result) -> None:
    trace = trace_of(result)
    index = next(i for i, entry in enumerate(trace) if isinstance(entry.item, e.DoseEnded))
    trace.insert(index + 1, replace(trace[index], item=e.Rescaled(1, 1.1, (27.5,), None)))
    found = picture_of(trace, result.setup)
    assert (found.targets[1].target_g, found.targets[1].planned_g) == (27.5, 25.0)
    assert found.rescaled[0].targets_g == (27.5,)
    assert found.rescaled[0].at_s == found.targets[0].to_s


def test_a_trace_that_breaks_off_is_open_at_its_end(result: Result) -> None:
    trace = trace_of(result)
    held = next(i for i, entry in enumerate(trace) if entry.item == e.PourStateChanged(PourState.HELD.value))
    found = picture_of(trace[: held + 1], result.setup)
    assert found.steps[-1].to_s is None
    assert found.targets[-1].to_s is None


def test_a_trace_without_samples_or_tare_has_its_steps(result: Result) -> None:
    trace = [entry for entry in trace_of(result) if not isinstance(entry.item, e.Weighed | e.Tared)]
    found = picture_of(trace, result.setup)
    assert (found.steps[0].from_s, found.glass_g) == (0.0, None)
    assert found.readings.span_s is None
    assert picture_of([], result.setup).steps == ()
