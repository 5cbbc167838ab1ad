"""The command line: runs the daemon, and sends requests to it."""

import sys
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from tarewell import __version__

from .failures import CliError

_COMMANDS = {
    "serve": "serving:serve",
    "pour": "pouring:pour",
    "prime": "maintaining:prime",
    "flush": "maintaining:flush",
    "purge": "maintaining:purge",
    "change-tube": "maintaining:change_tube",
    "command": "commanding:command",
    "status": "commanding:status",
    "stop": "stopping:stop",
    "estop": "stopping:estop",
    "release": "stopping:release",
    "scale": "weighing:scale",
    "zero": "weighing:zero",
    "tare": "weighing:tare",
    "calibrate": "calibrating:calibrate",
    "alarms": "alarms:alarms",
    "history": "history:history",
    "statistics": "statistics:statistics",
    "recordings": "recordings:recordings",
    "replay": "records:replay",
    "plan": "planning:plan",
    "cards": "planning:cards",
    "demo": "demo:demo",
    "menu": "menu:menu",
    "stock": "stock:stock",
    "round": "rounds:rounds",
    "orders": "orders:orders",
    "db": "records:db",
}
"""The module and function of each command, in the order of the help."""


class _LazyGroup(TyperGroup):
    """Loads the module of a command on demand: the daemon loads none of the others."""

    def list_commands(self, ctx: Any) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in _COMMANDS:
            return None
        module, _, attribute = _COMMANDS[cmd_name].partition(":")
        found = getattr(import_module(f".{module}", __name__), attribute)
        if not isinstance(found, typer.Typer):
            single = typer.Typer(add_completion=False, pretty_exceptions_enable=False)
            single.command(cmd_name)(found)
            found = single
        command = typer.main.get_command(found)
        command.name = cmd_name
        _tidy(command)
        return command

    def get_params(self, ctx: Any) -> Any:
        return _without_types(super().get_params(ctx))


def _tidy(command: Any) -> None:
    _without_types(command.get_params(typer.Context(command)))
    for inner in getattr(command, "commands", {}).values():
        _tidy(inner)


def _without_types(params: Any) -> Any:
    """The parameters, their help without a type after a flag: a flag takes no value."""
    for param in params:
        if getattr(param, "is_flag", False):
            param.metavar = ""
    return params


app = typer.Typer(
    cls=_LazyGroup,
    help="Pours drinks to target mass and keeps the record of every pour.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


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
    """Options before a command."""


def main() -> None:
    """Entry point: an expected failure is one line on standard error and an exit code of `failures`."""
    try:
        app()
    except CliError as error:
        from rich.console import Console

        from .tables import sentence

        err = Console(stderr=True, highlight=False)
        for line in f"tarewell: {error}".splitlines():
            sentence(err, line)
        sys.exit(error.code)
