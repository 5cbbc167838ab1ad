"""Follows a round to its end, shows its prompts, and sends the commands that are typed."""

import shlex
import time
from enum import StrEnum
from typing import Any

import httpx
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn

from .daemon_client import DaemonClient, Json, StreamEvent
from .failures import CliError, ExitCode
from .following import MAX_BREAKS, REOPEN_S, TERMINAL
from .tables import mass, plain, sentence
from .typed_commands import take_typed


class RoundCommandName(StrEnum):
    """The commands that a round accepts."""

    START = "start"
    CONFIRM = "confirm"
    HOLD = "hold"
    RESTART = "restart"
    SKIP = "skip"
    STOP = "stop"


BY_ENTER = {"by_hand": RoundCommandName.CONFIRM, "glass_ready": RoundCommandName.START}
"""The command that an empty line sends, by the step of the round."""

LOOK_S = 1.0
"""Polling interval while the round waits: its prompt may count down."""


def follow_round(client: DaemonClient, round_: Json, console: Console) -> Json:
    """Show the round until it is over; Ctrl-C stops it. Returns its last view.

    Raises:
        CliError: the daemon no longer answers.
    """
    link = round_["links"]["self"]
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TextColumn("{task.fields[mass]}"))
    with Progress(*columns, console=console, transient=True) as bar:
        watcher = _RoundFollower(client, link, bar)
        take_typed(list(RoundCommandName), watcher.command, watcher.say, watcher.by_enter)
        try:
            watcher.run()
        except KeyboardInterrupt:
            console.print("stopping the round")
            client.ask("POST", f"{link}/stop", repeat=True)
            watcher.run()
            raise CliError(f"the round was stopped with Ctrl-C; see {link}", ExitCode.INTERRUPTED) from None
    final: Json = client.get(link)
    return final


class _RoundFollower:
    def __init__(self, client: DaemonClient, link: str, bar: Progress) -> None:
        self._client = client
        self._link = link
        self._bar = bar
        self._task = bar.add_task("", total=None, mass="", visible=False)
        self._last_shown: tuple[Any, ...] = ()
        self._step = ""
        self._looked_s = 0.0
        self._pour: str | None = None
        self._target_g = 0.0
        self._last_id: str | None = None

    def run(self) -> None:
        """Run until the round is over. A broken stream is reopened from the last event."""
        breaks = 0
        while True:
            try:
                for event in self._client.events(self._last_id):
                    self._last_id = event.id or self._last_id
                    if event.kind == "reading":
                        self._show_mass(event.body)
                    if self._is_due(event) and self._look():
                        return
            except httpx.TransportError:
                breaks += 1
                if breaks > MAX_BREAKS:
                    raise
            time.sleep(REOPEN_S)
            if self._look():
                return

    def _is_due(self, event: StreamEvent) -> bool:
        if event.kind == "reading":
            return self._step != "pouring" and time.monotonic() - self._looked_s >= LOOK_S
        ours = self._link.endswith(str(event.body.get("round_id"))) or event.body.get("pour_id") is not None
        return event.kind == "open" or ours

    def _look(self) -> bool:
        """Poll the round and print what is new; returns whether it is over."""
        shown = self._client.ask("GET", self._link, repeat=True).json()
        progress = shown["progress"]
        if progress is None:
            return shown["state"] in TERMINAL
        self._step, self._looked_s = progress["step"], time.monotonic()
        now = tuple(progress[name] for name in ("step", "glass", "attempt", "leg", "detail"))
        if self._step != "pouring":
            self._bar.update(self._task, description=progress["prompt"], total=None, mass="", visible=True)
        if now != self._last_shown:
            self._last_shown = now
            self._print(shown, progress)
        if progress["pour"] != self._pour:
            self._pour = progress["pour"]
            self._target_g = 0.0 if self._pour is None else self._client.get(self._pour)["target_g"]
        return False

    def _print(self, shown: Json, progress: Json) -> None:
        glass = shown["glasses"][progress["glass"] - 1]
        which = f"glass {progress['glass']} of {len(shown['glasses'])}, {glass['name']}"
        guest = "" if glass["guest"] is None else f" for {glass['guest']}"
        sentence(self._bar.console, f"{which}{guest}: {progress['prompt']}")
        if detail := self._detail(progress):
            sentence(self._bar.console, f"  {detail}", "yellow")
        if progress["step"] == "awaiting_release":
            hint = f"  tarewell round release {shlex.quote(glass['guest'])} --by NAME --why REASON, or skip"
            self._bar.console.print(plain(hint), soft_wrap=True)
        if progress["step"] in BY_ENTER:
            self._bar.console.print(f"  press Enter to {BY_ENTER[progress['step']]}")
        elif progress["step"] == "held":
            self._bar.console.print("  type restart, skip or stop, then Enter")

    def _detail(self, progress: Json) -> str:
        """What is wrong: the alarm with its cure, where one holds the pour."""
        if progress["step"] == "held" and progress["pour"] is not None:
            under_way = self._client.get(progress["pour"])["progress"]
            if under_way is not None and under_way["alarm"] is not None:
                return str(under_way["alarm"]["text"])
        return str(progress["detail"])

    def _show_mass(self, body: Json) -> None:
        if self._step != "pouring":
            return
        ours = self._pour is not None and self._pour.endswith(str(body["pour_id"]))
        delivered_g = sum(body["delivered_g"] or ()) if ours else 0.0
        self._bar.update(
            self._task,
            description=self._step,
            total=self._target_g,
            completed=max(delivered_g, 0.0),
            mass=f"{mass(delivered_g)} g of {mass(self._target_g)} g",
            visible=ours,
        )

    def command(self, name: str) -> None:
        """Give the round a command."""
        self._client.ask("POST", f"{self._link}/{name}")

    def by_enter(self) -> str:
        """The command that an empty line sends now: it continues where a person is awaited."""
        return BY_ENTER.get(self._step, "")

    def say(self, text: str) -> None:
        """Print a line above the bar."""
        sentence(self._bar.console, text, "yellow")
