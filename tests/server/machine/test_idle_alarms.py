"""Alarms that no pour has to answer."""

from tarewell.dosing.alarms import alarm
from tarewell.machine.idle_alarms import AGAIN_S, SHOWN_S, IdleAlarms

BUSY = alarm("host_busy", "kept waiting for 200 ms")
BUSIER = alarm("host_busy", "kept waiting for 900 ms")
MASS = alarm("unexpected_mass", "2.0 g/s")


def test_the_newest_of_each_name_is_shown_for_a_while() -> None:
    alarms = IdleAlarms()
    alarms.add(BUSY, 0.0)
    alarms.add(MASS, 10.0)
    alarms.add(BUSIER, 20.0)
    assert alarms.shown(20.0) == (BUSIER, MASS)
    assert alarms.shown(10.0 + SHOWN_S + 1) == (BUSIER,)
    assert alarms.shown(20.0 + SHOWN_S + 1) == ()


def test_a_repetition_is_journaled_once_a_minute() -> None:
    alarms = IdleAlarms()
    assert alarms.add(BUSY, 0.0)
    assert not alarms.add(BUSIER, AGAIN_S - 1)
    assert alarms.add(MASS, AGAIN_S - 1)
    assert alarms.add(BUSY, AGAIN_S)


def test_who_has_attended_to_the_machine_sees_the_next_one_at_once() -> None:
    alarms = IdleAlarms()
    alarms.add(MASS, 0.0)
    alarms.clear()
    assert alarms.shown(1.0) == ()
    assert alarms.add(MASS, 1.0)
