"""What it means that the board stopped a pump by itself."""

from tarewell_protocol.messages import StopCause

from .alarms import Alarm, alarm
from .setup import DosingSettings

_STOPS = {
    StopCause.TIME: ("took_too_long", "it ran to the time limit of the board"),
    StopCause.ADC: ("adc_silent", "the board had no usable reading for 150 ms, or one beyond its range"),
    StopCause.LIMIT: ("adc_silent", "the reading was outside the board's own limits"),
    StopCause.INTERLOCK: ("interlock_open", "it opened while the pump ran"),
}


def alarm_of_stop(cause: StopCause, channel: int, settings: DosingSettings) -> Alarm:
    """The alarm for a pump that the board stopped in a feed, for any cause but a ceiling."""
    match cause:
        case StopCause.SUPPLY:  # not of one channel
            return alarm("supply_lost", "it went off while a pump ran")
        case StopCause.LEASE:
            return alarm("lease_ended", f"none for {settings.lease_ms} ms", channel)
    name, detail = _STOPS.get(cause, ("pump_stopped", f"cause: {cause}"))
    return alarm(name, detail, channel)
