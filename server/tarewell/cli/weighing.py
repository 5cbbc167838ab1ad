"""`tarewell scale`, `zero` and `tare`: the reading, its zero and its tare."""

import json
import time
from typing import Annotated

import typer
from rich.console import Console
from rich.live import Live
from rich.text import Text

from .daemon_client import DEFAULT_URL, DaemonClient, Json, RefusedError, Token, Url
from .following import console
from .menu import AsJson
from .tables import mass, plain

LOOK_S = 0.2
"""Polling interval."""

REST_S = 20.0
"""How long to wait for rest."""


def scale(
    count: Annotated[
        int | None, typer.Option("--count", min=1, help="Number of readings; default: until Ctrl-C.")
    ] = None,
    as_json: AsJson = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Show what the scale reads, live until Ctrl-C."""
    out = console()
    with DaemonClient(url, token) as client:
        try:
            if out.is_terminal and count is None and not as_json:
                _show_live(client, out)
            else:
                _print_readings(client, count, as_json)
        except KeyboardInterrupt:
            return


def _show_live(client: DaemonClient, out: Console) -> None:
    """One line that changes; a reading that goes missing is waited for."""
    shown = Text(reading_text(client.get("/v1/scale")))
    with Live(shown, console=out, auto_refresh=False) as live:
        while True:
            live.update(shown, refresh=True)
            time.sleep(LOOK_S)
            try:
                shown = Text(reading_text(client.get("/v1/scale")))
            except RefusedError as error:
                shown = plain(error)
                shown.stylize("red")


def _print_readings(client: DaemonClient, count: int | None, as_json: bool) -> None:
    printed = 0
    while True:
        reading = client.get("/v1/scale")
        print(json.dumps(reading) if as_json else reading_text(reading), flush=True)
        printed += 1
        if printed == count:
            return
        time.sleep(LOOK_S)


def zero(url: Url = DEFAULT_URL, token: Token = None) -> None:
    """Set zero with the platform empty; clears the tare."""
    out = console()
    with DaemonClient(url, token) as client:
        shown = when_at_rest(client, out, "/v1/scale/zero")
    out.print(f"zero is set: {reading_text(shown)}")


def tare(
    clear: Annotated[bool, typer.Option("--clear", help="Clear the tare instead: net is gross.")] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Leave what is on the platform out of the net mass. A pour tares its glass by itself."""
    out = console()
    with DaemonClient(url, token) as client:
        if clear:
            shown = client.ask("DELETE", "/v1/scale/tare").json()
        else:
            shown = when_at_rest(client, out, "/v1/scale/tare")
    out.print(f"the tare is {'cleared' if clear else 'set'}: {reading_text(shown)}")


def reading_text(reading: Json) -> str:
    """A reading in one line."""
    state = "overloaded" if reading["overload"] else "at rest" if reading["stable"] else "moving"
    tared = ""
    if reading["tare_g"]:
        tared = f"net, {mass(reading['gross_g'])} g gross, {mass(reading['tare_g'])} g tare  "
    return f"{mass(reading['net_g']):>7} g  {tared}{state}"


def when_at_rest(client: DaemonClient, out: Console, path: str, body: Json | None = None) -> Json:
    """POST what needs the scale at rest, again until it is.

    Raises:
        RefusedError: it is refused for another reason, or the scale still moves after `REST_S`.
    """
    give_up_s = time.monotonic() + REST_S
    at_rest = False
    with out.status("") as status:
        while True:
            try:
                answer: Json = client.ask("POST", path, json=body).json()
                return answer
            except RefusedError as error:
                if error.kind != "scale-not-ready" or at_rest or time.monotonic() > give_up_s:
                    raise
                status.update(plain(error))
            time.sleep(LOOK_S)
            at_rest = _reading_at_rest(client) is not None


def settled(client: DaemonClient) -> Json | None:
    """The reading at rest; None if the scale still moves after `REST_S`."""
    give_up_s = time.monotonic() + REST_S
    while (reading := _reading_at_rest(client)) is None and time.monotonic() < give_up_s:
        time.sleep(LOOK_S)
    return reading


def _reading_at_rest(client: DaemonClient) -> Json | None:
    """None while it moves, and before the first calibration."""
    try:
        reading: Json = client.get("/v1/scale")
    except RefusedError:
        return None
    return reading if reading["stable"] else None
