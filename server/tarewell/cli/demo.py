"""`tarewell demo`: a theatre's interval bar on a simulated machine, from calibration to audit."""

import signal
import tempfile
import time
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console

from tarewell.records.verify import verify

from .daemon_client import DaemonClient, Json
from .failures import CliError, ExitCode
from .following import console, follow, outcome_code, start_pour
from .simulated import Bench, bench
from .tables import dose_table

MACHINE_ID = "interval-bar"
REFERENCE_G = 500.0
REST_S = 20.0

LIQUIDS: dict[int, tuple[str, Json]] = {
    1: ("house-water", {"name": "House Water", "abv_percent": 0.0, "sugar_g_per_l": 0.0}),
    2: ("footlight-spirit", {"name": "Footlight Spirit", "abv_percent": 40.0, "sugar_g_per_l": 0.0}),
    4: ("prompters-cordial", {"name": "Prompter's Cordial", "abv_percent": 0.0, "brix": 30.0}),
    5: ("gallery-juice", {"name": "Gallery Juice", "abv_percent": 0.0, "density_g_per_ml": 1.040}),
}

ROUND: tuple[tuple[str, list[Json]], ...] = (
    (
        "Green Room Cooler, alcohol-free",
        [{"channel": 1, "amount_g": 60}, {"channel": 4, "amount_ml": 20}],
    ),
    ("Second Bell, 40 % vol spirit", [{"channel": 2, "amount_ml": 25}, {"channel": 5, "amount_g": 80}]),
)


def demo(
    stay: Annotated[bool, typer.Option("--stay", help="Set up, then run on for curl until Ctrl-C.")] = False,
    keep: Annotated[
        Path | None, typer.Option(help="Directory for database and logs, kept afterwards.")
    ] = None,
    port: Annotated[int, typer.Option(help="Port of the daemon; 0 takes any free one.")] = 0,
    speed: Annotated[float, typer.Option(min=0.1, max=4.0, help="Simulated seconds per second.")] = 1.0,
    seed: Annotated[int, typer.Option(help="Same seed, same noise.")] = 7,
) -> None:
    """Pour a short round on a simulated machine; needs no hardware."""
    out = console()
    signal.signal(signal.SIGTERM, _end)
    with ExitStack() as stack:
        if keep is None:
            directory = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="tarewell-demo-")))
        else:
            directory = keep
            directory.mkdir(parents=True, exist_ok=True)
        running = stack.enter_context(bench(directory, MACHINE_ID, port, speed, seed))
        client = stack.enter_context(DaemonClient(running.url))
        out.print(f"simulated machine at {running.device}, daemon at {running.url}")
        _set_up(client, running, out)
        if stay:
            _stay(running, out)
        else:
            _pour_round(client, running, out)


def _end(number: int, _frame: object) -> None:
    """End as Ctrl-C does, so that no process is left behind."""
    raise SystemExit(128 + number)


def _set_up(client: DaemonClient, running: Bench, out: Console) -> None:
    """Calibrate with a reference mass, unless these records hold a calibration; liquids and channels."""
    _wait_for_link(client)
    empty_counts = _at_rest(client, "/v1/scale/calibration/empty")["empty_counts"]
    running.hands.do("place_glass", mass_g=REFERENCE_G)
    time.sleep(0.5)  # until the reference has begun to move the reading
    body = {"empty_counts": empty_counts, "reference_g": REFERENCE_G}
    calibration = _at_rest(client, "/v1/scale/calibration", body)
    running.hands.do("lift_glass")
    out.print(f"calibrated with {REFERENCE_G:g} g: {calibration['counts_per_g']:.2f} counts per g")
    for channel, (liquid_id, liquid) in LIQUIDS.items():
        client.ask("PUT", f"/v1/liquids/{liquid_id}", json=liquid, repeat=True)
        named = {"liquid_id": liquid_id, "name": f"bottle {channel}"}
        client.ask("PUT", f"/v1/channels/{channel}", json=named, repeat=True)
        strength = liquid["abv_percent"]
        out.print(f"channel {channel}: {liquid['name']}" + (f", {strength:g} % vol" if strength else ""))


def _wait_for_link(client: DaemonClient) -> None:
    give_up_s = time.monotonic() + REST_S
    while (link := client.get("/v1/machine")["link"])["state"] != "open":
        if time.monotonic() > give_up_s:
            raise CliError(f"the daemon does not reach the simulated board: {link['reason']}")
        time.sleep(0.1)


def _at_rest(client: DaemonClient, path: str, body: Json | None = None) -> Any:
    """Ask again while the scale still moves."""
    give_up_s = time.monotonic() + REST_S
    while True:
        try:
            return client.ask("POST", path, json=body).json()
        except CliError as error:
            if error.code is not ExitCode.REFUSED or time.monotonic() > give_up_s:
                raise
            time.sleep(0.2)


def _pour_round(client: DaemonClient, running: Bench, out: Console) -> None:
    worst = ExitCode.OK
    for name, doses in ROUND:
        running.hands.do("place_glass")
        out.print(f"\n{name}", style="bold")
        ended = follow(client, start_pour(client, {"doses": doses, "glass_holds_ml": 300}), out)
        out.print(dose_table(ended, f"{ended['state']}, record {ended['id']}"))
        running.hands.do("lift_glass")
        worst = max(worst, outcome_code(ended))
    report = verify(running.database)
    if report.fault is not None:
        raise CliError(f"the audit chain does not hold: {report.fault.message}", ExitCode.NOT_INTACT)
    out.print(f"\naudit chain intact: {report.events} events, last hash {report.last_hash[:16]}...")
    if worst is not ExitCode.OK:
        raise CliError("not every dose came within its tolerance; see the tables", worst)


def _stay(running: Bench, out: Console) -> None:
    running.hands.do("place_glass")
    example = (
        f"curl -s -X POST {running.url}/v1/pours -H 'Content-Type: application/json' "
        """-H "Idempotency-Key: $(uuidgen)" -d '{"doses": [{"channel": 1, "amount_g": 60}]}'"""
    )
    out.print("\nAn empty glass stands on the platform.", style="bold")
    for line in (
        f"API         {running.url}/v1/machine",
        f"description {running.url}/docs",
        f"events      curl -N {running.url}/v1/events",
        f"a drink     {example}",
        f"            tarewell pour 1=60g 4=20ml --url {running.url}",
        f"a new glass tarewell-sim do {running.hands.address} place_glass",
        "the end     Ctrl-C",
    ):
        out.print(line, soft_wrap=True, markup=False)
    with suppress(KeyboardInterrupt):
        running.daemon.wait()
        raise CliError("the daemon has ended by itself; start again with --keep DIR to see its log")
