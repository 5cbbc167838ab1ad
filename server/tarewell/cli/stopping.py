"""`tarewell stop`, `estop` and `release`: what a hand needs in a fright, and the way back."""

from .daemon_client import DEFAULT_URL, DaemonClient, RefusedError, Token, Url
from .failures import CliError
from .following import TERMINAL, console
from .tables import sentence

LEAVING = TERMINAL | {"stopping", "aborting"}

SWITCH_OFF = "switch the pump supply off"


def stop(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Stop the pour or the round under way; what was poured is recorded."""
    with DaemonClient(url, token) as client:
        machine = client.get("/v1/machine")
        what = "pour" if machine["round"] is None else "round"
        link = machine[what]
        if link is None:
            console().print("nothing is under way")
            return
        try:
            client.ask("POST", f"{link}/stop", repeat=True)
        except RefusedError:
            if client.get(link)["state"] not in LEAVING:
                raise
        console().print(f"{what} {machine[f'{what}_id']}: {client.get(link)['state']}")


def estop(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Emergency stop: stop every pump at once, and let none run until `tarewell release`."""
    out = console()
    sentence(out, f"stopping every pump; if one still runs, {SWITCH_OFF}", "red")
    with DaemonClient(url, token) as client:
        try:
            client.ask("POST", "/v1/machine/emergency-stop")
        except CliError as error:
            raise CliError(f"not confirmed: {SWITCH_OFF}; {error}", error.code) from error
    sentence(out, "the emergency stop is latched; remove the cause, then `tarewell release`")


def release(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Release the emergency stop, after the cause was found and removed; starts nothing."""
    out = console()
    with DaemonClient(url, token) as client:
        before = client.get("/v1/machine")
        after = client.ask("POST", "/v1/machine/release").json()
    for alarm in before["alarms"]:
        sentence(out, f"before    {alarm['text']}", "yellow")
    out.print("the emergency stop is released" if before["latched"] else "no emergency stop was latched")
    for blocker in after["blockers"]:
        sentence(out, f"blocked   {blocker}", "yellow")
