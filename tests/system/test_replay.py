"""A pour that was stored by the daemon decides the same again when it is replayed on the command line."""

import os
import subprocess
import sys

from stack import Stack


def _tarewell(stack: Stack, *args: str) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "TAREWELL_DATABASE": str(stack.folder / "tarewell.sqlite")}
    return subprocess.run(
        [sys.executable, "-m", "tarewell", *args],
        capture_output=True,
        text=True,
        timeout=120,
        env={**env, "TAREWELL_DEVICE": stack.device, "TAREWELL_MACHINE_ID": "interval-bar"},
        check=False,
    )


def test_a_stored_pour_replays_to_the_same_decisions_and_the_chain_holds(stack: Stack) -> None:
    begun = stack.pour({"channel": 2, "amount_ml": 20}, {"channel": 4, "amount_g": 20})
    assert stack.finished(begun["id"])["state"] == "complete"
    assert stack.stop() == 0
    replayed = _tarewell(stack, "replay", begun["id"])
    assert replayed.returncode == 0, replayed.stderr
    assert "same" in replayed.stdout
    verified = _tarewell(stack, "db", "verify")
    assert verified.returncode == 0, verified.stderr
    assert _tarewell(stack, "replay", "no-such-pour").returncode != 0
