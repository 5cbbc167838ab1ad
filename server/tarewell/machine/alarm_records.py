"""Changes of alarms as the journal holds them."""

from collections.abc import Iterable
from typing import Any

from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.alarms import Alarm

from .alarms import AlarmAct, AlarmChange
from .effects import AppendEvent, Effect, Persist


def alarm_body(found: Alarm) -> dict[str, Any]:
    """An alarm as the journal holds it."""
    return {
        "id": found.id,
        "name": found.name,
        "reaction": found.reaction.value,
        "priority": ALARMS[found.name].priority.value,
        "message": found.message,
        "cure": found.cure,
        "detail": found.detail,
        "channel": found.channel,
        "liquid": found.liquid,
        "bottle": found.bottle,
        "text": found.text,
    }


def journaled(changes: Iterable[AlarmChange], now_s: float) -> list[Effect]:
    """Changes of alarms for the journal."""
    return [Persist(_event(change, now_s)) for change in changes]


def _event(change: AlarmChange, now_s: float) -> AppendEvent:
    found = change.active
    body = alarm_body(found.alarm)
    if change.act is not AlarmAct.RAISED:
        body = {name: body[name] for name in ("id", "name", "channel")}
    if change.act is AlarmAct.SHELVED and found.shelved_until_s is not None:
        body["for_s"] = round(found.shelved_until_s - now_s)
    return AppendEvent(change.act.value, body, found.pour_id)
