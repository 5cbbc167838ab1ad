import pytest

from command_line import Run, runner


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command line as the shell does: exit code, standard output, standard error."""
    return runner(monkeypatch, capsys)
