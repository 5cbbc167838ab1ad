"""Alarms: active, and as the journal keeps them."""

from dataclasses import fields
from datetime import UTC, datetime, timedelta
from typing import Any, Self

from pydantic import ConfigDict, Field

from tarewell.dosing.alarm_kinds import ALARMS, Priority, Reaction
from tarewell.dosing.alarms import Alarm, alarm
from tarewell.machine.alarms import MAX_SHELVE_S, ActiveAlarm, AlarmAct, AlarmState
from tarewell.records.values import StoredEvent

from . import Body, View


class AlarmView(View):
    """An alarm. `text` has it all in sentences, the same wherever people read it."""

    name: str
    reaction: str = Field(description="what it does to the pour: note, hold, stop or abort")
    message: str
    cure: str = Field(description="corrective action")
    detail: str = Field(description="what was observed")
    channel: int | None
    liquid: str | None = Field(description="name of the channel's liquid")
    bottle: str | None = Field(description="id of the channel's bottle")
    text: str
    priority: Priority | None = Field(description="null for a kind that this version does not know")
    cause: str | None = Field(description="what is usually behind it")
    consequence: str | None
    respond_s: float | None = Field(description="time to respond before the consequence, in s")

    @classmethod
    def of(cls, found: Alarm) -> Self:
        """From the alarm as it was raised."""
        return cls(**_facts(found))


def _facts(found: Alarm) -> dict[str, Any]:
    kind = ALARMS.get(found.name)
    raised = {field.name: getattr(found, field.name) for field in fields(Alarm)}
    facts = {name: getattr(kind, name, None) for name in ("priority", "cause", "consequence", "respond_s")}
    return {**raised, **facts, "text": found.text}


class ActiveAlarmView(AlarmView):
    """An active alarm, with its state as in ISA-18.2 / IEC 62682."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    **_facts(alarm("no_flow", "0.2 g in 5.0 s", 4)),
                    "liquid": "Prompter's Cordial",
                    "bottle": "cordial-2",
                    "id": "no_flow-4",
                    "state": "unacknowledged",
                    "acknowledged": False,
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "raised_at": "2031-03-14T19:42:31.480000Z",
                    "age_s": 12.5,
                    "shelved_for_s": None,
                }
            ]
        }
    )

    id: str
    state: AlarmState
    acknowledged: bool
    pour_id: str | None = Field(description="the pour that raised it")
    raised_at: datetime
    age_s: float = Field(description="time since then, in s")
    shelved_for_s: float | None = Field(description="time until it is shown again, in s")

    @classmethod
    def of_active(cls, found: ActiveAlarm, now_s: float) -> Self:
        """From the registry; `now_s` is the host's monotonic clock."""
        until_s, age_s = found.shelved_until_s, max(0.0, now_s - found.raised_s)
        return cls(
            **_facts(found.alarm),
            id=found.id,
            state=found.state,
            acknowledged=found.acknowledged,
            pour_id=found.pour_id,
            raised_at=datetime.now(UTC) - timedelta(seconds=age_s),
            age_s=round(age_s, 1),
            shelved_for_s=None if until_s is None else round(max(0.0, until_s - now_s), 1),
        )


class AlarmEventView(View):
    """An entry of the journal: an alarm was raised (`alarm`), returned to normal, was acknowledged, shelved
    or unshelved. `alarm` is null for all but the first."""

    seq: int
    at: datetime
    event: AlarmAct
    id: str
    pour_id: str | None
    alarm: AlarmView | None

    @classmethod
    def of(cls, stored: StoredEvent) -> Self:
        """From the journal."""
        act, alarm_view = AlarmAct(stored.kind), None
        if act is AlarmAct.RAISED:
            known = {
                field.name: stored.body[field.name] for field in fields(Alarm) if field.name in stored.body
            }
            alarm_view = AlarmView.of(Alarm(**{**known, "reaction": Reaction(known["reaction"])}))
        return cls(
            seq=stored.seq,
            at=stored.at,
            event=act,
            id=stored.body.get("id", stored.body["name"]),
            pour_id=stored.pour_id,
            alarm=alarm_view,
        )


class AlarmsView(View):
    """The active alarms, the worst first, and the history, the newest first."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"active": [], "history": []}]})

    active: list[ActiveAlarmView]
    history: list[AlarmEventView]


class ShelveBody(Body):
    """How long to shelve an alarm."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"for_s": 1800}]})

    for_s: float = Field(gt=0, le=MAX_SHELVE_S, description="in s")
