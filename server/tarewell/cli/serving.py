"""`tarewell serve`: the daemon in the foreground."""

from pathlib import Path
from typing import Annotated, Any

import typer

from tarewell.daemon import run
from tarewell.settings_sources import SettingsError, load_settings

from .failures import CliError, ExitCode

Config = Annotated[Path | None, typer.Option(help="Settings file (TOML); default: TAREWELL_CONFIG.")]
Database = Annotated[Path | None, typer.Option(help="Database of the records.")]


def serve(
    config: Config = None,
    device: Annotated[
        str | None, typer.Option(help="The board's port: /dev/ttyUSB0, or tcp://host:port.")
    ] = None,
    database: Database = None,
    host: Annotated[str | None, typer.Option(help="Address to listen on; others need a token.")] = None,
    port: Annotated[int | None, typer.Option(help="Port to listen on; 0 picks any free one.")] = None,
    machine_id: Annotated[str | None, typer.Option(help="Name of the machine in its records.")] = None,
    log_level: Annotated[str | None, typer.Option(help="debug, info, warning or error.")] = None,
) -> None:
    """Run the daemon until Ctrl-C or SIGTERM. All settings: docs/operating.md."""
    options: dict[str, Any] = {
        "device": device,
        "database": database,
        "host": host,
        "port": port,
        "machine_id": machine_id,
        "log_level": log_level,
    }
    try:
        settings = load_settings(config, options)
    except SettingsError as error:
        raise CliError(str(error), ExitCode.USAGE) from error
    run(settings)
