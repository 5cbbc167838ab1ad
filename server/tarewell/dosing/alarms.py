"""What can go wrong in a pour, how the pour reacts, and the cure."""

from dataclasses import dataclass
from enum import StrEnum


class Reaction(StrEnum):
    """What an alarm does to the pour; `NOTE` lets it go on."""

    NOTE = "note"
    HOLD = "hold"
    STOP = "stop"
    ABORT = "abort"


@dataclass(frozen=True, slots=True)
class AlarmKind:
    """A kind of alarm: its reaction, what happened, and what to do."""

    name: str
    reaction: Reaction
    message: str
    cure: str


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alarm that was raised; `detail` is what was observed."""

    name: str
    reaction: Reaction
    message: str
    cure: str
    detail: str


_KINDS = (
    AlarmKind(
        "no_glass",
        Reaction.STOP,
        "No glass was put on the platform in time.",
        "Put an empty glass on the platform and pour again.",
    ),
    AlarmKind(
        "too_heavy",
        Reaction.STOP,
        "Glass and drink together exceed what the scale can weigh.",
        "Use a lighter glass or ask for less.",
    ),
    AlarmKind(
        "glass_full",
        Reaction.STOP,
        "The glass has no room for the rest of the drink.",
        "Take the glass away; pour again into a larger one, or ask for less.",
    ),
    AlarmKind(
        "not_at_rest",
        Reaction.HOLD,
        "The scale does not come to rest.",
        "Keep hands and tubes off the platform, remove whatever shakes it, then restart.",
    ),
    AlarmKind(
        "glass_lifted",
        Reaction.HOLD,
        "The glass was lifted while it was being filled.",
        "Put the same glass back, then restart; or stop the pour.",
    ),
    AlarmKind(
        "glass_changed",
        Reaction.HOLD,
        "The load on the platform is not the glass that was being filled.",
        "Put the same glass back with its contents, then restart; or stop the pour.",
    ),
    AlarmKind(
        "disturbed",
        Reaction.HOLD,
        "The reading jumped by more than a pump can deliver.",
        "Keep hands off the platform, then restart.",
    ),
    AlarmKind(
        "mass_falling",
        Reaction.HOLD,
        "The mass in the glass is falling.",
        "Look for a leaking glass or a siphoning tube, then restart with a sound glass, or stop.",
    ),
    AlarmKind(
        "no_flow",
        Reaction.HOLD,
        "The pump is running but nothing arrives in the glass.",
        "Look for an empty bottle, or a tube that is unprimed, kinked or detached, then restart.",
    ),
    AlarmKind(
        "flow_lost",
        Reaction.HOLD,
        "The flow stopped in the middle of the dose.",
        "The bottle is probably empty: replace it, or free the tube, then restart.",
    ),
    AlarmKind(
        "not_emptied",
        Reaction.STOP,
        "Liquid keeps coming although the purge should have emptied the tube.",
        "Lift the tube's end out of the liquid, empty the cup, then purge again.",
    ),
    AlarmKind(
        "took_too_long",
        Reaction.HOLD,
        "The dose did not reach its target within the time allowed.",
        "Look for a worn or pinched tube, or a nearly empty bottle, then restart.",
    ),
    AlarmKind(
        "ceiling_reached",
        Reaction.HOLD,
        "The board stopped the pump at the mass ceiling.",
        "Look for a hand or a second glass on the platform; restart once it is clear.",
    ),
    AlarmKind(
        "pump_stopped",
        Reaction.HOLD,
        "The board stopped the pump on its own.",
        "Check the board's supply and cable, then restart.",
    ),
    AlarmKind(
        "pump_refused",
        Reaction.HOLD,
        "The board refused to run the pump.",
        "Remove the cause that the detail gives, then restart.",
    ),
    AlarmKind(
        "stale_reading",
        Reaction.HOLD,
        "No reading arrived from the scale in time.",
        "Check the cable between computer and board, then restart.",
    ),
    AlarmKind(
        "frozen_reading",
        Reaction.HOLD,
        "The reading repeats to the last digit, so the load cell is not being read.",
        "Check the wires between load cell, ADC and board, then restart.",
    ),
    AlarmKind(
        "unexpected_mass",
        Reaction.ABORT,
        "The mass is rising although no pump is commanded to run.",
        "Switch the pump supply off: a driver may be stuck on, or a bottle siphoning. Find the cause first.",
    ),
    AlarmKind(
        "pump_stuck",
        Reaction.ABORT,
        "The board still reports the pump running after the stop.",
        "Switch the pump supply off and check the board.",
    ),
    AlarmKind(
        "overload",
        Reaction.ABORT,
        "The load on the platform exceeds what the scale can weigh.",
        "Remove the load at once; check the zero before pouring again.",
    ),
    AlarmKind(
        "emergency_stop",
        Reaction.ABORT,
        "The emergency stop was triggered.",
        "Remove the cause, then release the emergency stop.",
    ),
    AlarmKind(
        "link_lost",
        Reaction.ABORT,
        "The link to the board was lost.",
        "The board stops the pump on its own. Check cable and supply; pour again once the link is back.",
    ),
    AlarmKind(
        "under_target",
        Reaction.NOTE,
        "The dose ended below its tolerance.",
        "Top up by hand if it matters; if it happens again, check tube and bottle.",
    ),
    AlarmKind(
        "over_target",
        Reaction.NOTE,
        "The dose ended above its tolerance.",
        "Check that the glass has room; if it happens again, look for drips and a loose tube.",
    ),
    AlarmKind(
        "taste_not_kept",
        Reaction.NOTE,
        "The remaining doses could not fully make up for the one that missed; the proportions are off.",
        "Taste or discard the drink; a larger glass leaves more room for correction.",
    ),
    AlarmKind(
        "host_busy",
        Reaction.NOTE,
        "The computer was too busy to watch the machine in time.",
        "Stop other programs on it, or use a faster computer; cables and board are not at fault.",
    ),
    AlarmKind(
        "record_set_aside",
        Reaction.NOTE,
        "A record could not be written and was set aside in a file beside the database.",
        "Keep the dead-letter file and report it; the machine keeps working.",
    ),
)

ALARMS = {kind.name: kind for kind in _KINDS}


def alarm(name: str, detail: str) -> Alarm:
    """The alarm of that name; `detail` says what was observed, with figures."""
    kind = ALARMS[name]
    return Alarm(kind.name, kind.reaction, kind.message, kind.cure, detail)
