"""`tarewell alarms`: show, acknowledge and shelve alarms."""

from datetime import datetime
from typing import Annotated

import typer

from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .following import console
from .tables import plain, sentence

alarms = typer.Typer(help="Show, acknowledge and shelve alarms.", add_completion=False)

AlarmId = Annotated[str, typer.Argument(metavar="ID", help="As `tarewell alarms` shows it.")]
Active = list[Json]

_STYLES = {"high": "red", "medium": "yellow"}


@alarms.callback(invoke_without_command=True)
def show(
    context: typer.Context,
    history: Annotated[int, typer.Option(min=1, max=500, help="How many entries of the history.")] = 10,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show the active alarms, the worst first, and the last entries of their history."""
    if context.invoked_subcommand is not None:
        return
    with DaemonClient(url, token) as client:
        found = client.get("/v1/alarms", {"limit": history})
    _print_active(found["active"])
    out = console()
    for entry in found["history"]:
        at = datetime.fromisoformat(entry["at"]).astimezone()
        what = entry["event"].removeprefix("alarm_").replace("alarm", "raised")
        text = "" if entry["alarm"] is None else f"  {entry['alarm']['text']}"
        out.print(plain(f"{at:%Y-%m-%d %H:%M:%S}  {what:12}  {entry['id']}{text}"), soft_wrap=True)


@alarms.command()
def acknowledge(alarm_id: AlarmId, url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Say that you have seen an alarm and attend to it."""
    with DaemonClient(url, token) as client:
        _print_active(client.ask("POST", f"/v1/alarms/{alarm_id}/acknowledge").json())


@alarms.command()
def shelve(
    alarm_id: AlarmId,
    minutes: Annotated[float, typer.Option(min=0.1, max=480, help="For how long.")] = 30.0,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Hide a nuisance for a time. What the alarm does to a pour stays the same."""
    with DaemonClient(url, token) as client:
        _print_active(
            client.ask("POST", f"/v1/alarms/{alarm_id}/shelve", json={"for_s": 60 * minutes}).json()
        )


def _print_active(active: Active) -> None:
    out = console()
    if not active:
        out.print("no alarm is active", style="green")
    for found in active:
        style = _STYLES.get(found["priority"])
        seen = ", acknowledged" if found["acknowledged"] and found["state"] != "acknowledged" else ""
        state = found["state"].replace("_", " ")
        left = "" if found["shelved_for_s"] is None else f" for {found['shelved_for_s'] / 60:.0f} min"
        out.print(plain(f"{found['id']}: {found['priority']} priority, {state}{left}{seen}"), style=style)
        sentence(out, f"  {found['text']}", style)
