"""The command line: the daemon, and what a person asks of it from a terminal."""

import sys
from typing import Annotated

import typer
from rich.console import Console

from tarewell import __version__

from . import demo, history, maintaining, menu, ordering, planning, pouring, records, rounds, serving, stock
from .failures import CliError
from .tables import sentence

app = typer.Typer(
    help="Pours drinks to target mass and keeps the record of every pour.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command()(serving.serve)
app.command()(pouring.pour)
app.command()(maintaining.prime)
app.command()(maintaining.flush)
app.command()(maintaining.purge)
app.command()(ordering.order)
app.command()(ordering.status)
app.command()(history.history)
app.command()(records.replay)
app.command()(planning.plan)
app.command()(planning.cards)
app.command()(demo.demo)
app.add_typer(menu.menu, name="menu")
app.add_typer(stock.stock, name="stock")
app.add_typer(rounds.rounds, name="round")
app.add_typer(records.db, name="db")


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"tarewell {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Options that come before a command."""


def main() -> None:
    """Entry point: an expected failure is one line on standard error and an exit code of `failures`."""
    try:
        app()
    except CliError as error:
        err = Console(stderr=True, highlight=False)
        for line in f"tarewell: {error}".splitlines():
            sentence(err, line)
        sys.exit(error.code)
