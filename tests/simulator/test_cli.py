"""tarewell-sim as a command."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from tarewell_sim.cli import app
from tarewell_sim.scenario import built_in

runner = CliRunner()


def test_scenarios_are_listed() -> None:
    result = runner.invoke(app, ["scenarios"])
    assert result.exit_code == 0
    assert {line.split()[0] for line in result.output.splitlines()} == set(built_in())


def test_check_accepts_and_refuses(tmp_path: Path) -> None:
    assert "8 channels" in runner.invoke(app, ["check", "theatre_bar"]).output
    file = tmp_path / "wrong.toml"
    file.write_text("[rooom]\n")
    result = runner.invoke(app, ["check", str(file)])
    assert result.exit_code == 1
    assert "unknown key 'rooom'; did you mean 'room'?" in result.output


@pytest.mark.parametrize(
    ("args", "says"),
    [
        ([], "--pty"),
        (["--pty", "--tcp", "127.0.0.1:0"], "either --pty"),
        (["--tcp", "127.0.0.1:0", "--link", "x"], "--link"),
        (["--tcp", "here"], "HOST:PORT"),
        (["--pty", "--control", "0.0.0.0:0"], "use 127.0.0.1"),
        (["--pty", "--scenario", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_run_says_what_is_wrong(args: list[str], says: str) -> None:
    result = runner.invoke(app, ["run", *args])
    assert result.exit_code == 1
    assert says in result.output


def test_do_says_what_is_wrong() -> None:
    result = runner.invoke(app, ["do", "127.0.0.1:1", "truth"])
    assert result.exit_code == 1
    assert "refused" in result.output
    assert "tarewell-sim run" in result.output
