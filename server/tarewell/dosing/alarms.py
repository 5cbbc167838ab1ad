"""What can go wrong in a pour, what the pour does then, and the cure for each."""

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
    """An alarm by name: reaction, what happened, what to do."""

    name: str
    reaction: Reaction
    message: str
    cure: str


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alarm that was raised, with what was seen."""

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
        "Glass and drink together are more than the scale weighs.",
        "Take a lighter glass or ask for less.",
    ),
    AlarmKind(
        "glass_full",
        Reaction.STOP,
        "What is still to come has no room in the glass.",
        "Take the glass away; pour again into a larger one, or ask for less.",
    ),
    AlarmKind(
        "not_at_rest",
        Reaction.HOLD,
        "The scale does not come to rest.",
        "Keep hands and tubes off the platform, stop what shakes it, then restart.",
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
        "What stands on the platform is not the glass that was being filled.",
        "Put the same glass back with what it held, then restart; or stop the pour.",
    ),
    AlarmKind(
        "disturbed",
        Reaction.HOLD,
        "The reading jumped as no pump can make it.",
        "Keep hands off the platform, then restart.",
    ),
    AlarmKind(
        "mass_falling",
        Reaction.HOLD,
        "The mass in the glass is falling.",
        "Look for a leaking glass or a tube that siphons, then restart with a sound glass or stop.",
    ),
    AlarmKind(
        "no_flow",
        Reaction.HOLD,
        "The pump is on and nothing arrives in the glass.",
        "Look for an empty bottle, a tube that is not primed, kinked or off, then restart.",
    ),
    AlarmKind(
        "flow_lost",
        Reaction.HOLD,
        "The flow broke off in the middle of the dose.",
        "The bottle is probably empty: put a full one in place, or free the tube, then restart.",
    ),
    AlarmKind(
        "not_emptied",
        Reaction.STOP,
        "Liquid goes on coming where a purge should have emptied the tube.",
        "Lift the tube's end out of the liquid, empty the cup, then purge again.",
    ),
    AlarmKind(
        "took_too_long",
        Reaction.HOLD,
        "The dose did not reach its target within the time allowed.",
        "Look for a worn or pinched tube and a nearly empty bottle, then restart.",
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
        "The board stopped the pump by itself.",
        "Look at the board's supply and cable, then restart.",
    ),
    AlarmKind(
        "pump_refused",
        Reaction.HOLD,
        "The board refused to run the pump.",
        "See the reason given; remove it, then restart.",
    ),
    AlarmKind(
        "stale_reading",
        Reaction.HOLD,
        "No reading came from the scale in time.",
        "Look at the cable between computer and board, then restart.",
    ),
    AlarmKind(
        "frozen_reading",
        Reaction.HOLD,
        "The reading repeats to the last digit, so the load cell is not being read.",
        "Look at the wires between load cell, ADC and board, then restart.",
    ),
    AlarmKind(
        "unexpected_mass",
        Reaction.ABORT,
        "The mass rises though no pump is commanded on.",
        "Switch the pump supply off: a driver may be stuck on or a bottle may siphon. Find it first.",
    ),
    AlarmKind(
        "pump_stuck",
        Reaction.ABORT,
        "The board does not report the pump off after it was told to stop.",
        "Switch the pump supply off and look at the board.",
    ),
    AlarmKind(
        "overload",
        Reaction.ABORT,
        "The load on the platform is beyond what the scale weighs.",
        "Take the load off at once; check zero before pouring again.",
    ),
    AlarmKind(
        "emergency_stop",
        Reaction.ABORT,
        "The emergency stop was set.",
        "Remove the reason, then release the emergency stop.",
    ),
    AlarmKind(
        "link_lost",
        Reaction.ABORT,
        "The link to the board was lost.",
        "The board stops the pump by itself. Look at cable and supply; pour again when the link is back.",
    ),
    AlarmKind(
        "under_target",
        Reaction.NOTE,
        "The dose ended below its tolerance.",
        "Top up by hand if it matters; if it happens again, look at tube and bottle.",
    ),
    AlarmKind(
        "over_target",
        Reaction.NOTE,
        "The dose ended above its tolerance.",
        "Check the glass for room; if it happens again, look for drips and a loose tube.",
    ),
    AlarmKind(
        "taste_not_kept",
        Reaction.NOTE,
        "The doses to come could not follow the one that missed far enough; the proportions are off.",
        "Taste or discard the drink; a larger glass leaves more room for it.",
    ),
    AlarmKind(
        "host_busy",
        Reaction.NOTE,
        "The computer was too busy to watch the machine in time.",
        "End what else runs on it, or give the program a faster computer; cables and board are not at fault.",
    ),
    AlarmKind(
        "record_set_aside",
        Reaction.NOTE,
        "A record could not be written and lies beside the database.",
        "Keep the file of dead letters and report it; the machine goes on.",
    ),
)

ALARMS = {kind.name: kind for kind in _KINDS}


def alarm(name: str, detail: str) -> Alarm:
    """The alarm of that name; `detail` says what was seen, with figures."""
    kind = ALARMS[name]
    return Alarm(kind.name, kind.reaction, kind.message, kind.cure, detail)
