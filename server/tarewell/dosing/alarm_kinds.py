"""The table of all alarms, rationalised as in ISA-18.2 / IEC 62682: cause, consequence, corrective action,
priority, time to respond.

The two standards were cited from memory. Priorities and times are our own judgement: a pump that may still
run leaves seconds, a pour that is held leaves as long as a guest waits.
"""

from dataclasses import dataclass
from enum import StrEnum


class Reaction(StrEnum):
    """What an alarm does to the pour; `NOTE` lets it go on."""

    NOTE = "note"
    HOLD = "hold"
    STOP = "stop"
    ABORT = "abort"


class Priority(StrEnum):
    """How much an alarm matters. One of low priority needs no acknowledgement."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


@dataclass(frozen=True, slots=True)
class AlarmKind:
    """A kind of alarm.

    `message` says what happened, `cure` is the corrective action. `respond_s` is the time until the
    consequence, in s. `of_channel`: it speaks of one channel. `latches`: while the emergency stop is latched
    it stays, even if its condition has gone. A condition that is checked again and again must have been
    present for `on_delay_s` before the alarm is raised, and absent for `off_delay_s` before it returns to
    normal; None: nobody can see its end, so its acknowledgement ends it.
    """

    name: str
    reaction: Reaction
    priority: Priority
    respond_s: float
    message: str
    cause: str
    consequence: str
    cure: str
    of_channel: bool = False
    latches: bool = False
    on_delay_s: float = 0.0
    off_delay_s: float | None = 0.0


NOTE, HOLD, STOP, ABORT = Reaction.NOTE, Reaction.HOLD, Reaction.STOP, Reaction.ABORT
HIGH, MEDIUM, LOW = Priority.HIGH, Priority.MEDIUM, Priority.LOW

WAITS = "The drink waits unfinished."
UNFINISHED = "The drink is unfinished."

_KINDS = (
    AlarmKind(
        *("no_glass", STOP, LOW, 120.0),
        "No glass was put on the platform in time.",
        "Nobody put a glass on, or it is lighter than dosing.min_glass_g.",
        "Nothing was poured.",
        "Put an empty glass on the platform and pour again.",
    ),
    AlarmKind(
        *("too_heavy", STOP, LOW, 120.0),
        "Glass and drink together exceed what the scale can weigh.",
        "A heavy glass, a large drink, or both.",
        "Nothing was poured.",
        "Use a lighter glass or ask for less.",
    ),
    AlarmKind(
        *("glass_full", STOP, MEDIUM, 60.0),
        "The glass has no room for the rest of the drink.",
        "An earlier dose missed, and the doses after it were rescaled to keep the taste.",
        UNFINISHED,
        "Take the glass away; pour again into a larger one, or ask for less.",
    ),
    AlarmKind(
        *("not_at_rest", HOLD, MEDIUM, 120.0),
        "The scale does not come to rest.",
        "A hand or a tube on the platform, a shaking table, a leak, or a draught.",
        WAITS,
        "Keep hands and tubes off the platform, remove whatever shakes it, then restart.",
    ),
    AlarmKind(
        *("glass_lifted", HOLD, MEDIUM, 60.0),
        "The glass was lifted while it was being filled.",
        "Somebody took or moved the glass.",
        "What left the tube meanwhile is on the platform and missing in the glass.",
        "Wipe the platform dry, put the same glass back, then restart; or stop the pour.",
    ),
    AlarmKind(
        *("glass_changed", HOLD, MEDIUM, 120.0),
        "The load on the platform is not the glass that was being filled.",
        "Another glass, something taken out or put in, or liquid on the platform.",
        WAITS,
        "Wipe the platform dry and put the same glass back with its contents, then restart; if it is that "
        "glass, restart again. Or stop the pour.",
    ),
    AlarmKind(
        *("disturbed", HOLD, MEDIUM, 60.0),
        "The reading jumped by more than a pump can deliver.",
        "The glass was lifted or moved, something was dropped in, or somebody touched the platform.",
        WAITS,
        "If the glass was moved, wipe the platform dry and put the same glass back; take out what was "
        "dropped in; then hands off and restart.",
    ),
    AlarmKind(
        *("mass_falling", HOLD, MEDIUM, 30.0),
        "The mass in the glass is falling.",
        "A leaking glass, a tube that siphons the drink back, or a hand that lifts the glass slowly.",
        "Liquid on the platform and on the table.",
        "Look for a leaking glass or a siphoning tube, wipe the platform dry, then restart with a sound "
        "glass, or stop.",
        off_delay_s=60.0,
    ),
    AlarmKind(
        *("excess_flow", HOLD, MEDIUM, 30.0),
        "Far more arrives than the channel delivers.",
        "A second tube that runs or siphons, or a new or freed tube that delivers more than was learned.",
        "The drink gets what nobody ordered.",
        "Look for a second tube that runs or siphons. If the tube is new or was kinked before, restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("no_flow", HOLD, MEDIUM, 120.0),
        "The pump is running but nothing arrives in the glass.",
        "An empty bottle, or a tube that is unprimed, kinked, detached or beside the glass.",
        WAITS,
        "Look for an empty bottle, or a tube that is unprimed, kinked or detached, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("flow_lost", HOLD, MEDIUM, 120.0),
        "The flow stopped in the middle of the dose.",
        "The bottle ran empty, or the tube is kinked or came off.",
        WAITS,
        "The bottle is probably empty: replace it, or free the tube, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("not_emptied", STOP, MEDIUM, 60.0),
        "Liquid keeps coming although the purge should have emptied the tube.",
        "The tube's end is still in the liquid.",
        "The cup fills up.",
        "Lift the tube's end out of the liquid, empty the cup, then purge again.",
        of_channel=True,
    ),
    AlarmKind(
        *("took_too_long", HOLD, MEDIUM, 120.0),
        "The dose did not reach its target within the time allowed.",
        "A worn or pinched tube, a nearly empty bottle, or a thick liquid.",
        WAITS,
        "Look for a worn or pinched tube, or a nearly empty bottle, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("ceiling_reached", HOLD, MEDIUM, 60.0),
        "The board stopped the pump at the mass ceiling.",
        "A hand, or something heavy on the platform or in the glass.",
        WAITS,
        "Look for a hand, or for something put on the platform or into the glass; restart once it is clear.",
        of_channel=True,
    ),
    AlarmKind(
        *("interlock_open", HOLD, MEDIUM, 120.0),
        "The interlock opened, so the board stopped the pump.",
        "Somebody opened the door, pulled the tray or took the glass; or a loose wire of the switch.",
        WAITS,
        "Close what is open, see that the same glass stands there, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("pump_stopped", HOLD, MEDIUM, 120.0),
        "The board stopped the pump on its own.",
        "The board was reset or began a new session, or its supply is weak.",
        WAITS,
        "Check the board's supply and cable, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("adc_silent", HOLD, MEDIUM, 120.0),
        "The load cell's converter fell silent or overran, so the board stopped the pump.",
        "A loose wire between load cell, ADC and board, no supply at the ADC, or a load beyond its range.",
        WAITS,
        "Take any overload off the platform and check the wires between load cell, ADC and board, then "
        "restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("lease_ended", HOLD, MEDIUM, 120.0),
        "No renewal of the pump's lease reached the board in time, so the board stopped the pump.",
        "A bad cable or motor noise on it lost the messages to the board.",
        WAITS,
        "Check the cable between computer and board and keep it away from the motors' wires, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("host_late", HOLD, MEDIUM, 120.0),
        "The computer was too busy to watch the pour, so the pump was stopped.",
        "Other programs, a slow disk, or too small a computer; cables and board are not at fault.",
        WAITS,
        "Stop other programs on the computer, then restart the pour.",
    ),
    AlarmKind(
        *("pump_refused", HOLD, MEDIUM, 120.0),
        "The board refused to run the pump.",
        "The board's own limits, or a latched stop; the detail gives its reason.",
        WAITS,
        "Remove the cause that the detail gives, then restart.",
        of_channel=True,
    ),
    AlarmKind(
        *("stale_reading", HOLD, MEDIUM, 120.0),
        "No reading arrived from the scale in time.",
        "A loose cable between computer and board, a board without supply, or an ADC that is not read.",
        WAITS,
        "Check the cable between computer and board, and the wires from the board to the load cell's ADC, "
        "then restart.",
    ),
    AlarmKind(
        *("frozen_reading", HOLD, MEDIUM, 120.0),
        "The reading repeats to the last digit, so the load cell is not being read.",
        "A broken wire, or an ADC that hangs.",
        WAITS,
        "Check the wires between load cell, ADC and board, then restart.",
    ),
    AlarmKind(
        *("unexpected_mass", ABORT, HIGH, 10.0),
        "The mass is rising although no pump is commanded to run.",
        "A driver that is stuck on, a bottle that siphons, or a hand that tops up.",
        "Liquid goes on running, over the glass and the table.",
        "Switch the pump supply off: a driver may be stuck on, or a bottle siphoning. Find the cause first.",
        latches=True,
        off_delay_s=60.0,
    ),
    AlarmKind(
        *("uncommanded_pump", ABORT, HIGH, 5.0),
        "The board reports a pump running that nobody commanded.",
        "A second program at the board, a faulty board, or a fault in this program.",
        "Liquid runs with or without a glass.",
        "Switch the pump supply off. Find what commands the pump, then release the emergency stop.",
        of_channel=True,
        latches=True,
        off_delay_s=None,
    ),
    AlarmKind(
        *("pump_stuck", ABORT, HIGH, 5.0),
        "The board still reports the pump running after the stop.",
        "A faulty board, or a line so bad that no stop arrives.",
        "Liquid goes on running, over the glass and the table.",
        "Switch the pump supply off and check the board.",
        of_channel=True,
        latches=True,
    ),
    AlarmKind(
        *("overload", ABORT, HIGH, 10.0),
        "The load on the platform exceeds what the scale can weigh.",
        "Somebody leans on it, a heavy load, or a detached wire of the load cell.",
        "The load cell may be bent, and every mass after that wrong.",
        "Remove the load at once; check the zero before pouring again.",
    ),
    AlarmKind(
        *("supply_lost", ABORT, HIGH, 60.0),
        "The pump supply went off, so the board latched its emergency stop.",
        "Somebody pressed the emergency switch, or the power supply of the pumps failed.",
        UNFINISHED,
        "Find out who switched the pumps off and why, make it safe, switch the supply on, then release the "
        "emergency stop.",
        latches=True,
    ),
    AlarmKind(
        *("emergency_stop", ABORT, HIGH, 60.0),
        "The emergency stop was triggered.",
        "A person, or the watch over the pumps.",
        "Nothing runs until it is released.",
        "Remove the cause, then release the emergency stop.",
        latches=True,
    ),
    AlarmKind(
        *("link_lost", ABORT, MEDIUM, 120.0),
        "The link to the board was lost.",
        "A loose cable, a board without supply or being reset, or a bad line.",
        UNFINISHED + " What ran into the glass after the last reading is not in the record.",
        "The board stops the pump on its own. Check cable and supply; pour again once the link is back.",
    ),
    AlarmKind(
        *("under_target", NOTE, LOW, 60.0),
        "The dose ended below its tolerance.",
        "Bubbles, a worn tube, or a bottle that ran low.",
        "The drink lacks some of this liquid.",
        "Top up by hand if it matters; if it happens again, check tube and bottle.",
        of_channel=True,
    ),
    AlarmKind(
        *("over_target", NOTE, LOW, 60.0),
        "The dose ended above its tolerance.",
        "Drips, a loose tube, or something dropped into the glass.",
        "The drink has too much of this liquid; spirits make it stronger than planned.",
        "Check that the glass has room; if it happens again, look for drips and a loose tube.",
        of_channel=True,
    ),
    AlarmKind(
        *("mass_added", NOTE, LOW, 60.0),
        "Something else than the drink came onto the platform during the dose; it does not count as drink.",
        "Fruit or ice that was put in, a hand, or another tube.",
        "The glass holds something that is not in the recipe.",
        "Nothing to do if it belongs in the glass. Otherwise remove it and check the drink.",
        of_channel=True,
    ),
    AlarmKind(
        *("mass_in_doubt", NOTE, LOW, 60.0),
        "More arrived than the pump should have delivered; it may be drink or not.",
        "A pump that stopped late, or something that fell into the glass; it counts as drink.",
        "The drink has more or less of this liquid than recorded; spirits may make it stronger.",
        "Taste or discard the drink. Put nothing into the glass while a pump runs.",
        of_channel=True,
    ),
    AlarmKind(
        *("spilt", NOTE, LOW, 60.0),
        "Liquid fell beside the glass; it does not count as drink.",
        "The glass was lifted while the pump ran.",
        "A wet platform; bottle and stock have less than recorded.",
        "Wipe the platform once the glass is off it, and keep the glass in place while a pump runs.",
        of_channel=True,
    ),
    AlarmKind(
        *("taste_not_kept", NOTE, LOW, 60.0),
        "The remaining doses could not fully make up for the one that missed; the proportions are off.",
        "The glass or the smallest dose left no room for correction.",
        "The drink tastes of the wrong proportions.",
        "Taste or discard the drink; a larger glass leaves more room for correction.",
    ),
    AlarmKind(
        *("host_busy", NOTE, LOW, 300.0),
        "The computer was too busy to watch the machine in time.",
        "Other programs, a slow disk, or too small a computer.",
        "The board ends a pump's run by itself when its lease is not renewed, so pours are held.",
        "Stop other programs on it, or use a faster computer; cables and board are not at fault.",
        off_delay_s=60.0,
    ),
    AlarmKind(
        *("records_failing", NOTE, MEDIUM, 300.0),
        "The records cannot be written.",
        "A full disk, a read-only file system, or a database that was moved or damaged.",
        "No pour can start. What happened is kept in memory and lost if the power fails.",
        "Remove what the detail names, such as the full disk; nothing needs a restart.",
        on_delay_s=5.0,
    ),
    AlarmKind(
        *("record_set_aside", NOTE, MEDIUM, 86400.0),
        "A record could not be written and was set aside in a file beside the database.",
        "A fault in the program, or a damaged database.",
        "The history lacks this record.",
        "Keep the dead-letter file and report it; the machine keeps working.",
        off_delay_s=None,
    ),
)

ALARMS = {kind.name: kind for kind in _KINDS}
"""All kinds by name."""
