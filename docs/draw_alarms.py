"""Writes docs/alarms.md from the table of alarms."""

from pathlib import Path

from tarewell.dosing.alarm_kinds import ALARMS, AlarmKind, Priority, Reaction

HEAD = """# Alarms

Written from the table in `server/tarewell/dosing/alarm_kinds.py` by `make diagram`; a test fails when this
page is out of date.

An alarm calls for an action: each has a cause, a consequence if nobody acts, a cure, a priority and a time to
respond, as ISA-18.2 / IEC 62682 ask (cited from memory). Priorities and times are our own judgement. An alarm
names the channel, its liquid and its bottle where it speaks of one, and reads the same on the command line,
the display, the API and in the history. Alarms are in memory first: a full disk does not hide them.

## States

The states are those of ISA-18.2 / IEC 62682.

| state | meaning | what ends it |
|---|---|---|
| unacknowledged | it is there, and nobody attends to it yet | acknowledge it, or its condition goes |
| acknowledged | it is there, and somebody attends to it | its condition goes |
| returned to normal | its condition has gone, and nobody has acknowledged it | acknowledge it |
| latched | its condition has gone, and the emergency stop is still latched | release the emergency stop |
| shelved | hidden for a time, eight hours at most | the time |

* An alarm that has returned to normal and was acknowledged is gone from the list; the history keeps it.
* An alarm of low priority needs no acknowledgement: it leaves ten minutes after its return to normal.
* A command to a pour (restart, stop, abort) acknowledges that pour's alarms; so does `ok` at the knob. They
  return to normal when the pour goes on or ends.
* Shelve a nuisance that you know about. Shelving changes nothing but the list: a pour is held, stopped or
  aborted all the same. An alarm of high priority cannot be shelved.
* On-delay and off-delay keep a condition that comes and goes from raising one alarm after another.
* What happened around an alarm is kept by the [flight recorder](operating.md#flight-recorder).

```sh
tarewell alarms                                  # active ones, the worst first, and the last of the history
tarewell alarms acknowledge no_flow-4
tarewell alarms shelve host_busy --minutes 60
```
"""

_REACTIONS = {
    Reaction.NOTE: "noted; a pour under way goes on",
    Reaction.HOLD: "the pour is held and waits for a restart or a stop",
    Reaction.STOP: "the pour is stopped",
    Reaction.ABORT: "the pour is aborted",
}


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for priority in Priority:
        parts.append(f"\n## {priority.value.capitalize()} priority\n")
        parts += [_section(kind) for kind in ALARMS.values() if kind.priority is priority]
    return "".join(parts)


def _section(kind: AlarmKind) -> str:
    lines = [
        f"\n### {kind.name}\n",
        f"{kind.message}\n",
        f"* Reaction: {_REACTIONS[kind.reaction]}.{_delays(kind)}",
        f"* Cause: {kind.cause}",
        f"* Consequence, unless somebody acts within {_time(kind.respond_s)}: {kind.consequence}",
        f"* Cure: {kind.cure}",
    ]
    return "\n".join(lines) + "\n"


def _delays(kind: AlarmKind) -> str:
    told = []
    if kind.latches:
        told.append("It latches while the emergency stop does.")
    if kind.on_delay_s:
        told.append(f"On-delay {kind.on_delay_s:g} s.")
    if kind.off_delay_s is None:
        told.append("It stays until it is acknowledged.")
    elif kind.off_delay_s:
        told.append(f"Off-delay {kind.off_delay_s:g} s.")
    return "".join(f" {text}" for text in told)


def _time(seconds: float) -> str:
    if seconds >= 3600:
        return f"{seconds / 3600:g} h"
    return f"{seconds / 60:g} min" if seconds >= 60 else f"{seconds:g} s"


if __name__ == "__main__":
    Path(__file__).with_name("alarms.md").write_text(page(), "utf-8")
