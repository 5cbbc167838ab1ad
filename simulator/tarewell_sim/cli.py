"""`tarewell-sim`: the simulated dispenser by itself."""

import asyncio
import json
import logging
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer

from .bench import BenchError
from .control import ControlClient, parse_address, parse_loopback, serve
from .machine import SimulatedMachine
from .pacing import pace
from .ports import PtyPort, SimulatedPort, SimulatedPortError, SimulatedTcpPort
from .scenario import ScenarioError, built_in, load_scenario
from .specs import Scenario

app = typer.Typer(
    help="A simulated dispenser behind the real line protocol.", no_args_is_help=True, add_completion=False
)


def main() -> None:
    """Entry point of tarewell-sim."""
    app()


def _fail(error: Exception) -> NoReturn:
    typer.echo(str(error), err=True)
    raise typer.Exit(1) from error


def run_command(make: Callable[[Scenario, int], SimulatedMachine], name: str) -> Callable[..., None]:
    """The command that runs a machine with any board; `name` prefixes its log messages."""

    def run(
        scenario: Annotated[str, typer.Option(help="Built-in name or TOML file.")] = "theatre_bar",
        seed: Annotated[int, typer.Option(help="The same seed gives the same noise.")] = 0,
        speed: Annotated[float, typer.Option(min=0.01, help="Simulated seconds per second.")] = 1.0,
        pty: Annotated[bool, typer.Option("--pty", help="Offer a pseudo-terminal.")] = False,
        link: Annotated[Path | None, typer.Option(help="Stable name for the pseudo-terminal.")] = None,
        tcp: Annotated[str | None, typer.Option(metavar="HOST:PORT", help="Offer a TCP port.")] = None,
        control: Annotated[str, typer.Option(metavar="HOST:PORT", help="Back door.")] = "127.0.0.1:0",
        glass: Annotated[bool | None, typer.Option("--glass/--no-glass", help="Glass at the start.")] = None,
    ) -> None:
        """Run until ended; prints one line of JSON once the ports are ready."""
        logging.basicConfig(format=f"{name}: %(message)s")
        try:
            if pty == (tcp is not None) or (link and not pty):
                raise SimulatedPortError("give either --pty, optionally with --link, or --tcp HOST:PORT")
            machine = make(load_scenario(scenario), seed)
            if glass is not None and glass != machine.truth.glass_present:
                machine.bench.place_glass() if glass else machine.bench.lift_glass()
            port: SimulatedPort = SimulatedTcpPort(*parse_address(tcp)) if tcp is not None else PtyPort(link)
            asyncio.run(_serve(machine, port, speed, parse_loopback(control)))
        except (ScenarioError, SimulatedPortError) as error:
            _fail(error)

    return run


app.command()(run_command(SimulatedMachine, "tarewell-sim"))


async def _serve(
    machine: SimulatedMachine, port: SimulatedPort, speed: float, control: tuple[str, int]
) -> None:
    stop = asyncio.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        asyncio.get_running_loop().add_signal_handler(number, stop.set)
    server, address = await serve(machine, *control)
    try:
        await port.plug()
        print(json.dumps({"device": port.device, "control": address}), flush=True)
        await pace(machine, port, speed, stop)
    finally:
        port.unplug()
        server.close()


@app.command()
def scenarios() -> None:
    """List the built-in scenarios."""
    for name in built_in():
        typer.echo(f"{name:16} {load_scenario(name).title}")


@app.command()
def check(file: Annotated[str, typer.Argument(help="TOML file, or a built-in name.")]) -> None:
    """Check a scenario and list its faults."""
    try:
        scenario = load_scenario(file)
    except ScenarioError as error:
        _fail(error)
    typer.echo(f"{file}: {len(scenario.channels)} channels, {len(scenario.disturbances)} disturbances")


@app.command()
def do(
    address: Annotated[str, typer.Argument(metavar="HOST:PORT", help="Back door of a running simulator.")],
    command: Annotated[str, typer.Argument(help="Such as place_glass; truth shows the physical state.")],
    args: Annotated[list[str] | None, typer.Argument(metavar="[NAME=VALUE]...")] = None,
) -> None:
    """Send one back-door command to a running simulator."""
    try:
        with ControlClient(address) as client:
            if command == "truth":
                typer.echo(json.dumps(client.truth(), indent=2))
            else:
                client.call(command, **dict(_argument(text) for text in args or ()))
    except OSError as error:
        typer.echo(
            f"no simulator answers at {address}: {error.strerror or error}; `tarewell-sim run` starts one "
            "and prints the address as control",
            err=True,
        )
        raise typer.Exit(1) from error
    except BenchError as error:
        _fail(error)


def _argument(text: str) -> tuple[str, Any]:
    name, equals, value = text.partition("=")
    if not equals:
        raise BenchError(f"expected NAME=VALUE, such as channel=1, got '{text}'")
    try:
        return name, json.loads(value)
    except ValueError:
        return name, value
