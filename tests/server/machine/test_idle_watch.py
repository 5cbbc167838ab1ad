"""What must not happen between pours."""

from tarewell.machine.idle_watch import IdleWatch
from tarewell_protocol.messages import Sample

OFF, ON = Sample(0, 0, 0, running=0), Sample(0, 0, 0, running=0b100)


def test_a_pump_reported_on_is_told_once_until_somebody_has_looked() -> None:
    watch = IdleWatch()
    found = watch.check(ON, 0.0, 1.0)
    assert found is not None
    assert (found.name, found.channel) == ("uncommanded_pump", 3)
    assert watch.check(ON, 0.0, 2.0) is None
    watch.reset()
    assert watch.check(ON, 0.0, 3.0) is not None


def test_a_steady_rise_is_told_and_a_hand_is_not() -> None:
    watch = IdleWatch()
    told = [watch.check(OFF, 2.0, step / 80) for step in range(400)]
    assert [alarm.name for alarm in told if alarm] == ["unexpected_mass"]
    for flow in (400.0, 0.1, None, -5.0):
        calm = IdleWatch()
        assert not any(calm.check(OFF, flow, step / 80) for step in range(400))


def test_a_rise_that_pauses_starts_to_count_anew() -> None:
    watch = IdleWatch()
    flows = ([2.0] * 160 + [0.0] * 10) * 3
    assert not any(watch.check(OFF, flow, step / 80) for step, flow in enumerate(flows))
