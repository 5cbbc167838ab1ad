"""`tarewell demo`: a theatre's interval bar on a simulated machine, from calibration to audit."""

import signal
import tempfile
import time
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console

from tarewell.quantities.units import SmallMeasures
from tarewell.records.verify import verify
from tarewell.setup_file.example import INTERVAL_BAR
from tarewell.setup_file.reading import read_setup
from tarewell.setup_file.setup import Setup

from .daemon_client import DaemonClient, Json
from .demo_examples import examples
from .demo_round import DemoOperator, pour_round
from .failures import CliError, ExitCode
from .following import console, outcome_code
from .menu import CAUTION
from .menu_tables import menu_table, stock_table
from .rounds import round_table
from .simulated import SimulatorProcess, bench
from .tables import sentence

MACHINE_ID = "interval-bar"
REFERENCE_G = 500.0
REST_S = 20.0
CONTENT_CLOSE_G = 0.5

ROUND: Json = {
    "glasses": [{"recipe_id": "green-room-cooler", "volume_ml": 100}, {"recipe_id": "curtain-up"}],
    "auto_start": True,
}


def demo(
    stay: Annotated[
        bool, typer.Option("--stay", help="Set up, then keep running for curl until Ctrl-C.")
    ] = False,
    keep: Annotated[
        Path | None, typer.Option(help="Directory for database and logs, kept afterwards.")
    ] = None,
    port: Annotated[int, typer.Option(help="Port of the daemon; 0 picks any free one.")] = 0,
    hands_port: Annotated[
        int, typer.Option(help="Port for moving glasses on the simulated machine; 0 picks any free one.")
    ] = 0,
    speed: Annotated[float, typer.Option(min=0.1, max=4.0, help="Simulated seconds per second.")] = 1.0,
    seed: Annotated[int, typer.Option(help="The same seed gives the same noise.")] = 7,
) -> None:
    """Pour a round of two on a simulated machine; needs no hardware."""
    out = console()
    signal.signal(signal.SIGTERM, _end)
    with ExitStack() as stack:
        if keep is None:
            directory = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="tarewell-demo-")))
        else:
            directory = keep
            directory.mkdir(parents=True, exist_ok=True)
        out.print("starting the simulated machine and the daemon")
        running = stack.enter_context(bench(directory, MACHINE_ID, port, hands_port, speed, seed))
        client = stack.enter_context(DaemonClient(running.url))
        out.print(f"simulated machine at {running.device}, daemon at {running.url}")
        _calibrate(client, running, out)
        _set_up(client, out)
        hands = DemoOperator(running.hands, client)
        if stay:
            _stay(running, hands, out)
        else:
            _pour(client, running, hands, out)


def _end(number: int, _frame: object) -> None:
    """End as with Ctrl-C, so that no process is left behind."""
    raise SystemExit(128 + number)


def _calibrate(client: DaemonClient, running: SimulatorProcess, out: Console) -> None:
    """Calibrate with a reference mass, at every start."""
    _wait_for_link(client)
    empty_counts = _at_rest(client, "/v1/scale/calibration/empty")["empty_counts"]
    running.hands.do("place_glass", mass_g=REFERENCE_G)
    time.sleep(0.5)  # until the reference mass has changed the reading
    body = {"empty_counts": empty_counts, "reference_g": REFERENCE_G}
    calibration = _at_rest(client, "/v1/scale/calibration", body)
    running.hands.do("lift_glass")
    out.print(f"calibrated with {REFERENCE_G:g} g: {calibration['counts_per_g']:.2f} counts per g")


def _wait_for_link(client: DaemonClient) -> None:
    give_up_s = time.monotonic() + REST_S
    while (link := client.get("/v1/machine")["link"])["state"] != "open":
        if time.monotonic() > give_up_s:
            raise CliError(f"the daemon does not reach the simulated board: {link['reason']}")
        time.sleep(0.1)


def _at_rest(client: DaemonClient, path: str, body: Json | None = None) -> Any:
    """Retry while the scale still moves."""
    give_up_s = time.monotonic() + REST_S
    while True:
        try:
            return client.ask("POST", path, json=body).json()
        except CliError as error:
            if error.code is not ExitCode.REFUSED or time.monotonic() > give_up_s:
                raise
            time.sleep(0.2)


def _set_up(client: DaemonClient, out: Console) -> None:
    """Import the example, unless kept records have a set-up, and show the menu."""
    text = INTERVAL_BAR.read_text("utf-8")
    if client.get("/v1/recipes"):
        out.print("set-up from the records\n")
    else:
        done = client.ask("POST", "/v1/setup/import", params={"dry_run": False}, content=text.encode()).json()
        out.print(f"set-up {INTERVAL_BAR.name}: {len(done['changes'])} parts imported\n")
    _weigh_bottles(client, read_setup(text, Setup(), SmallMeasures()))
    menu = client.get("/v1/menu")
    out.print(menu_table(menu["drinks"]))
    sentence(out, f"A standard drink is {menu['standard_drink_g']:g} g of ethanol. {CAUTION}")


def _weigh_bottles(client: DaemonClient, setup: Setup) -> None:
    """Correct the contents in kept records: the simulated bottles are new at every start."""
    for bottle in client.get("/v1/bottles"):
        new = setup.bottles.get(bottle["id"])
        if new is None or bottle["channel"] is None:
            continue
        if abs(new.content_g - bottle["content_g"]) > CONTENT_CLOSE_G:
            body = {"content_g": new.content_g}
            client.ask("POST", f"/v1/bottles/{bottle['id']}/weigh", json=body)


def _pour(client: DaemonClient, running: SimulatorProcess, hands: DemoOperator, out: Console) -> None:
    out.print("\nA round of two, the first without alcohol", style="bold")
    ended = pour_round(client, hands, ROUND, out)
    out.print(f"\nround {ended['state']}, as delivered:", style="bold")
    out.print(round_table(ended))
    out.print("\nstock after it:", style="bold")
    out.print(stock_table(client.get("/v1/stock")["liquids"], client.get("/v1/recipes")))
    report = verify(running.database)
    if report.fault is not None:
        raise CliError(f"the audit chain is broken: {report.fault.message}", ExitCode.NOT_INTACT)
    out.print(f"\naudit chain intact: {report.events} events, last hash {report.last_hash[:16]}...")
    pours = [client.get(link) for glass in ended["glasses"] for link in glass["pours"]]
    worst = max(outcome_code(pour) for pour in pours)
    if worst is not ExitCode.OK:
        raise CliError("not every dose came within its tolerance; see the tables", worst)


def _stay(running: SimulatorProcess, hands: DemoOperator, out: Console) -> None:
    hands.place("foyer-tumbler")
    out.print("\nAn empty Foyer tumbler is on the platform. Ctrl-C ends everything.", style="bold")
    out.print(examples(running.url, running.hands.address), soft_wrap=True, markup=False)
    with suppress(KeyboardInterrupt):
        running.daemon.wait()
        raise CliError("the daemon has ended on its own; start again with --keep DIR to see its log")
