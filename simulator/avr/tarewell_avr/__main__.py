"""python -m tarewell_avr: the dispenser with real firmware, on its own."""

import typer

from tarewell_sim.cli import run_command

from .building import BuildError
from .machine import EmulatedMachine

app = typer.Typer(
    help="A dispenser with the real firmware in an emulated chip.", no_args_is_help=True, add_completion=False
)
app.command()(run_command(EmulatedMachine, "tarewell-avr"))


@app.callback()
def _keep_the_command_named() -> None:
    """With one command only, typer would leave out its name."""


def main() -> None:
    """Entry point.

    Exits with 1 when firmware or library cannot be built.
    """
    try:
        app()
    except BuildError as error:
        typer.echo(str(error), err=True)
        raise SystemExit(1) from error


if __name__ == "__main__":
    main()
