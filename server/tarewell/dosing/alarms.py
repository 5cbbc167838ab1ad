"""An alarm that was raised, and its text, which is the same wherever people read it."""

from dataclasses import dataclass

from .alarm_kinds import ALARMS, Reaction


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alarm that was raised; `detail` is what was observed.

    `channel`, `liquid` and `bottle` say what it speaks of, as far as known: the channel's number, the
    liquid's name, the bottle's id.
    """

    name: str
    reaction: Reaction
    message: str
    cure: str
    detail: str
    channel: int | None = None
    liquid: str | None = None
    bottle: str | None = None

    @property
    def id(self) -> str:
        """Names it among the active alarms: one of a kind, or one of a kind for each channel."""
        return self.name if self.channel is None else f"{self.name}-{self.channel}"

    @property
    def subject(self) -> str:
        """What it speaks of, such as "channel 3, Prompter's Cordial, bottle cordial-2"; may be empty."""
        channel = None if self.channel is None else f"channel {self.channel}"
        bottle = None if self.bottle is None else f"bottle {self.bottle}"
        return ", ".join(part for part in (channel, self.liquid, bottle) if part)

    @property
    def observed(self) -> str:
        """Subject and detail."""
        return f"{self.subject}: {self.detail}" if self.subject else self.detail

    @property
    def advice(self) -> str:
        """What to do and what was observed, for a small display that shows the name as a title."""
        return f"{self.cure} ({self.observed})"

    @property
    def text(self) -> str:
        """What happened, what was observed and what to do, in sentences."""
        return f"{self.message} ({self.observed}) {self.cure}"


def alarm(name: str, detail: str, channel: int | None = None) -> Alarm:
    """The alarm of that name; `detail` says what was observed, with figures."""
    kind = ALARMS[name]
    return Alarm(kind.name, kind.reaction, kind.message, kind.cure, detail, channel)
