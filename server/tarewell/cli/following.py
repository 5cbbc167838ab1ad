"""Starts a pour and follows it to its end, across broken connections."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import Any
from uuid import uuid4

import httpx
from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeElapsedColumn

from .daemon_client import DaemonClient, Json, StreamEvent
from .failures import CliError, ExitCode
from .tables import sentence
from .typed_commands import at_terminal, take_typed

TERMINAL = frozenset({"complete", "stopped", "aborted", "interrupted"})
REOPEN_S = 0.5
MAX_BREAKS = 20


class PourCommandName(StrEnum):
    """The commands that a pour accepts."""

    HOLD = "hold"
    RESTART = "restart"
    STOP = "stop"
    ABORT = "abort"


def start_pour(client: DaemonClient, body: Json, path: str = "/v1/pours") -> Json:
    """Request a pour; retried while there is no answer, since its key lets it begin only once."""
    client.get("/v1/health")  # without a daemon, fail at once
    key = {"Idempotency-Key": str(uuid4())}
    try:
        pour: Json = client.ask("POST", path, json=body, headers=key, repeat=True).json()
    except KeyboardInterrupt:
        # it may have begun: the key finds it, or begins a pour that is stopped before a pump turns
        pour = client.ask("POST", path, json=body, headers=key, repeat=True).json()
        client.ask("POST", f"{pour['links']['self']}/stop", repeat=True)
        raise CliError("stopped with Ctrl-C before the pour was under way", ExitCode.INTERRUPTED) from None
    return pour


def follow(client: DaemonClient, pour: Json, console: Console) -> Json:
    """Show the pour until it is over; Ctrl-C stops it. Returns its last view. A held pour asks what to do.

    Raises:
        CliError: the daemon no longer answers, or the pour is held and nobody is there to ask.
    """
    link = pour["links"]["self"]
    with _bar(console) as bar:
        task = bar.add_task("waiting", total=pour["target_g"], mass="")
        watcher = _PourFollower(client, pour, bar, task, console)
        if at_terminal():
            take_typed(list(PourCommandName), watcher.command, watcher.say)
        try:
            watcher.run()
        except KeyboardInterrupt:
            console.print("stopping the pour")
            client.ask("POST", f"{link}/stop", repeat=True)
            watcher.run()
            raise CliError(f"the pour was stopped with Ctrl-C; see {link}", ExitCode.INTERRUPTED) from None
    final: Json = client.get(link)
    return final


@contextmanager
def _bar(console: Console) -> Iterator[Progress]:
    with Progress(
        TextColumn("{task.description:15}"),
        BarColumn(),
        TextColumn("{task.fields[mass]}"),
        TimeElapsedColumn(),
        console=console,
    ) as bar:
        yield bar


class _PourFollower:
    def __init__(
        self, client: DaemonClient, pour: Json, bar: Progress, task: TaskID, console: Console
    ) -> None:
        self._client = client
        self._id = pour["id"]
        self._link = pour["links"]["self"]
        self._target_g = pour["target_g"]
        self._vessel = "glass" if pour["purpose"] == "drink" else "cup"
        self._bar = bar
        self._task = task
        self._console = console
        self._last_id: str | None = None
        self._state = ""
        self._waits = 0

    def run(self) -> None:
        """Run until the pour is over. A broken stream is reopened from the last event."""
        breaks = 0
        while True:
            try:
                for event in self._client.events(self._last_id):
                    self._last_id = event.id or self._last_id
                    if event.kind == "open":
                        over = self._is_over()
                    else:
                        over = event.body.get("pour_id") == self._id and self._take(event)
                    if over:
                        return
            except httpx.TransportError:
                breaks += 1
                if breaks > MAX_BREAKS:
                    raise
            time.sleep(REOPEN_S)
            if self._is_over():
                return

    def command(self, name: str) -> None:
        """Give the pour a command."""
        self._client.ask("POST", f"{self._link}/{name}")

    def say(self, text: str) -> None:
        """Print a line above the bar."""
        sentence(self._console, text, "yellow")

    def _is_over(self) -> bool:
        pour = self._client.ask("GET", self._link, repeat=True).json()
        if pour["progress"] is not None:
            self._show(pour["progress"]["step"])
        return pour["state"] in TERMINAL

    def _take(self, event: StreamEvent) -> bool:
        """Show an event of our pour; returns whether the pour is over."""
        match event.kind:
            case "reading":
                self._show(event.body["state"], sum(event.body["delivered_g"] or ()))
                self._see_wait(event.body["state"])
            case "pour_state":
                self._show(event.body["state"])
            case "alarm" if event.body["reaction"] != "hold":  # one that holds is told with the question
                self.say(event.body["text"])
            case "pour_ended" | "pour_interrupted":
                return True
        return False

    def _see_wait(self, state: str) -> None:
        """Ask for a glass where a second reading finds none; with one in place, the first is the last."""
        self._waits = self._waits + 1 if state == "awaiting_glass" else 0
        if self._waits == 2:
            self.say(f"put an empty {self._vessel} on the platform")

    def _show(self, state: str, delivered_g: float | None = None) -> None:
        shown: dict[str, Any] = {"description": state.replace("_", " ")}
        if delivered_g is not None:
            shown["completed"] = min(max(delivered_g, 0.0), self._target_g)
            shown["mass"] = f"{delivered_g:6.1f} g of {self._target_g:.1f} g"
        self._bar.update(self._task, **shown)
        before, self._state = self._state, state
        if before == state:
            return
        if before == "held":
            self._bar.start()
        if state == "held":
            self._ask()

    def _ask(self) -> None:
        """Tell why the pour is held, and ask what to do; the bar is off, so that a person can type."""
        self._bar.stop()
        reason = why_held(self._client.ask("GET", self._link, repeat=True).json())
        if not at_terminal():
            raise CliError(
                f"the pour is held: {reason} Then `tarewell command {self._id} restart`, or `tarewell stop`",
                ExitCode.HELD,
            )
        self.say(f"held: {reason}")
        self._console.print("type restart, stop or abort, then Enter")


def why_held(pour: Json) -> str:
    """Why a pour is held: the alarm with its cure, or a command."""
    alarm = None if pour["progress"] is None else pour["progress"]["alarm"]
    if alarm is None or alarm["reaction"] != "hold":
        return "A command held it."
    return str(alarm["text"])


def outcome_code(pour: Json) -> ExitCode:
    """The exit code for a pour that is over."""
    match pour["state"]:
        case "complete":
            within = all(dose["verdict"] == "within" for dose in pour["doses"])
            return ExitCode.OK if within else ExitCode.OUT_OF_TOLERANCE
        case "stopped":
            return ExitCode.STOPPED
        case _:
            return ExitCode.ABORTED


def console() -> Console:
    """The console on standard output."""
    return Console(file=sys.stdout, highlight=False)
