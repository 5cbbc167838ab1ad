"""Failures of a command: one line for a person, one exit code for a script."""

from enum import IntEnum


class ExitCode(IntEnum):
    """The exit codes; 2 is an invalid command line, 130 a Ctrl-C."""

    OK = 0
    FAILED = 1
    USAGE = 2
    OUT_OF_TOLERANCE = 3
    STOPPED = 4
    ABORTED = 5
    NO_DAEMON = 6
    REFUSED = 7
    NOT_INTACT = 8
    HELD = 9
    INTERRUPTED = 130


class CliError(Exception):
    """A failure that the user can do something about."""

    def __init__(self, message: str, code: ExitCode = ExitCode.FAILED) -> None:
        super().__init__(message)
        self.code = code
