"""Commands that a person types while something is followed."""

import sys
import threading
from collections.abc import Callable, Collection

from .failures import CliError


def at_terminal() -> bool:
    """Whether a person can read a question and answer it."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def take_typed(
    commands: Collection[str],
    send: Callable[[str], object],
    say: Callable[[str], None],
    by_enter: Callable[[], str] = str,
) -> None:
    """Send each line that is typed as a command, in the background; `by_enter` gives an empty line's."""

    def take() -> None:
        for line in sys.stdin:
            command = line.strip() or by_enter()
            if command not in commands:
                say(f"  the commands are {', '.join(commands)}")
                continue
            try:
                send(command)
            except CliError as error:
                say(f"  {error}")

    threading.Thread(target=take, daemon=True).start()
