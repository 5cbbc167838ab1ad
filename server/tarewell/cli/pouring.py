"""`tarewell pour`: one drink by channel and amount."""

from typing import Annotated

import typer

from .amounts import parse_dose
from .daemon_client import DEFAULT_URL, DaemonClient, Json, Token, Url
from .failures import CliError, ExitCode
from .following import console, follow, outcome_code, start_pour
from .tables import dose_table, mass


def pour(
    doses: Annotated[list[str], typer.Argument(metavar="CHANNEL=AMOUNT...", help="Such as 1=120g 3=20ml.")],
    glass_holds_ml: Annotated[
        float | None, typer.Option("--glass-ml", min=1, help="Capacity of the glass in ml.")
    ] = None,
    onto: Annotated[
        bool, typer.Option("--onto", help="Pour on top of what was poured last and is still on the platform.")
    ] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Pour a drink and follow it; Ctrl-C stops it. Put an empty glass on the platform."""
    body: Json = {"doses": [parse_dose(text) for text in doses]}
    if glass_holds_ml is not None:
        body["glass_holds_ml"] = glass_holds_ml
    if onto:
        body["onto_contents"] = True
    out = console()
    with DaemonClient(url, token) as client:
        ended = follow(client, start_pour(client, body), out)
    out.print(dose_table(ended))
    code = outcome_code(ended)
    if code is not ExitCode.OK:
        raise CliError(
            f"the pour ended {ended['state']} ({ended['cause']}) with {mass(ended['delivered_g'])} g of "
            f"{mass(ended['target_g'])} g; see {url}{ended['links']['self']}",
            code,
        )
