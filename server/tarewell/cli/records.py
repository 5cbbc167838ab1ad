"""`tarewell replay` and `tarewell db`: work on the records, with or without a running daemon."""

import asyncio
import traceback
from pathlib import Path
from typing import Annotated

import typer

from tarewell import __version__
from tarewell.dosing.events import PourEvent, PourOutput
from tarewell.dosing.replay import ReplayReport
from tarewell.dosing.replay import replay as replay_pour
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.traces import TraceError
from tarewell.machine.recording import RecordingError
from tarewell.machine.replay import RecordingReport, replay_recording
from tarewell.records.errors import RecordsError, UnknownRecordError
from tarewell.records.migrate import upgrade as upgrade_database
from tarewell.records.recordings import RecordingSummary
from tarewell.records.store import Store
from tarewell.records.verify import verify as verify_database
from tarewell.settings import Settings
from tarewell.settings_sources import SettingsError, load_settings

from .failures import CliError, ExitCode
from .serving import Config, Database

db = typer.Typer(help="The database of the records.", no_args_is_help=True, add_completion=False)


def _settings(config: Path | None, database: Path | None) -> Settings:
    """The settings; only those about records are used, so no device need be set."""
    try:
        return load_settings(config, {"database": database, "device": "not-used"})
    except SettingsError as error:
        raise CliError(str(error), ExitCode.USAGE) from error


def _existing(config: Path | None, database: Path | None) -> Path:
    path = _settings(config, database).database
    if not path.is_file():
        raise CliError(f"there is no database {path}; name one with --database")
    return path


@db.command()
def upgrade(config: Config = None, database: Database = None) -> None:
    """Create the database or upgrade it to the newest schema; an older one is backed up first."""
    path = _settings(config, database).database
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        result = upgrade_database(path)
    except (RecordsError, OSError) as error:
        raise CliError(str(error)) from error
    if result.before == result.after:
        typer.echo(f"{path} is up to date ({result.after})")
    else:
        kept = "" if result.backup is None else f"; the old one was backed up as {result.backup}"
        typer.echo(f"{path} is now at {result.after}{kept}")


@db.command()
def verify(config: Config = None, database: Database = None) -> None:
    """Verify the audit chain and everything that it seals."""
    path = _existing(config, database)
    try:
        report = verify_database(path)
    except RecordsError as error:
        raise CliError(str(error)) from error
    if report.fault is not None:
        raise CliError(
            f"the chain breaks after {report.events} events: {report.fault.message}", ExitCode.NOT_INTACT
        )
    typer.echo(f"{report.events} events intact; the last is {report.last_seq} with hash {report.last_hash}")


def replay(
    record_id: Annotated[
        str, typer.Argument(help="A pour's, from `tarewell history`, or of `tarewell recordings`.")
    ],
    config: Config = None,
    database: Database = None,
) -> None:
    """Replay a recorded pour, or a recording of the flight recorder, and compare the decisions."""
    path = _existing(config, database)
    try:
        match asyncio.run(_read(path, _settings(config, database).machine_id, record_id)):
            case (RecordingSummary() as summary, bytes() as data):
                _tell_version(summary)
                _tell_recording(_replayed(summary, data))
            case (PourSetup() as setup, list() as entries):
                _tell_pour(replay_pour(setup, entries))
    except (RecordsError, TraceError, ValueError) as error:
        raise CliError(str(error)) from error


def _tell_version(summary: RecordingSummary) -> None:
    if summary.program_version != __version__:
        typer.echo(
            f"program version {summary.program_version} wrote this recording, and {__version__} replays it: "
            "it may decide differently",
            err=True,
        )


def _replayed(summary: RecordingSummary, data: bytes) -> RecordingReport:
    """Raises CliError where the machine itself fails, as it did if the cause was a fault in the program."""
    try:
        return replay_recording(data)
    except RecordingError:
        raise
    except Exception as error:
        traceback.print_exception(error)
        raise CliError(
            f"the machine fails when it replays this recording of program version {summary.program_version} "
            f"({type(error).__name__}: {error}); report it with the lines above"
        ) from error


_CHANGED = "another program version decided differently, or the record was changed: see `tarewell db verify`"


def _tell_pour(report: ReplayReport) -> None:
    broken_off = "" if report.complete else "; the record breaks off before the end of the pour"
    if report.same:
        typer.echo(f"same: {report.decisions} decisions from {report.events} events{broken_off}")
        return
    for difference in report.differences:
        typer.echo(
            f"{difference.now_s:.3f} s: recorded {difference.recorded}, now {difference.replayed}", err=True
        )
    raise CliError(f"{len(report.differences)} decisions differ; {_CHANGED}", ExitCode.NOT_INTACT)


def _tell_recording(report: RecordingReport) -> None:
    if report.difference is None:
        typer.echo(f"same: {report.effects} effects of {report.events} events")
        return
    typer.echo(f"the first {report.events} events are the same, then (- recorded, + now):", err=True)
    for line in report.difference.lines:
        typer.echo(line, err=True)
    raise CliError(f"the effects differ; {_CHANGED}", ExitCode.NOT_INTACT)


Entries = list[tuple[float, PourEvent | PourOutput]]


async def _read(
    path: Path, machine_id: str, record_id: str
) -> tuple[PourSetup, Entries] | tuple[RecordingSummary, bytes]:
    """What to replay: a pour with its trace, or a recording with its data."""
    store = await Store.open(path, machine_id, __version__)
    try:
        try:
            return await store.recordings.get(record_id)
        except UnknownRecordError:
            trace = await store.pours.trace(record_id)
            entries: Entries = [(entry.now_s, entry.item) for entry in trace]
            return await store.pours.setup(record_id), entries
    finally:
        await store.close()
