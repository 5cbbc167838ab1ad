"""Runs a command line like the shell, with a double of the daemon."""

import functools
from collections.abc import Callable

import httpx
import pytest

from tarewell.cli import daemon_client, main

Run = Callable[..., tuple[int, str, str]]
"""Takes the arguments; returns exit code, standard output, standard error."""


def runner(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*args: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["tarewell", *args])
        monkeypatch.setenv("COLUMNS", "120")
        with pytest.raises(SystemExit) as ended:
            main()
        code = ended.value.code
        said = capsys.readouterr()
        return (code if isinstance(code, int) else 0), said.out, said.err

    return call


def answer_with(monkeypatch: pytest.MonkeyPatch, handler: Callable[[httpx.Request], httpx.Response]) -> None:
    """Send every request of the command line to `handler`, without a network and without waiting."""
    client = functools.partial(httpx.Client, transport=httpx.MockTransport(handler))
    monkeypatch.setattr(httpx, "Client", client)
    monkeypatch.setattr(daemon_client, "RETRY_PAUSES_S", (0.0, 0.0))
