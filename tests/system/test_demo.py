"""The first things that a user runs."""

import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

from stack import prefer

DEMO = (sys.executable, "-m", "tarewell", "demo")


def start(command: Sequence[str | Path], **more: Any) -> "subprocess.Popen[str]":
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, start_new_session=True, **more)
    prefer(process.pid)
    return process


def test_the_demo_pours_a_round_of_two_and_ends_by_itself() -> None:
    process = subprocess.Popen(
        DEMO, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    prefer(process.pid)
    out, err = process.communicate(timeout=240)
    assert process.returncode == 0, out + err
    assert "Green Room Cooler: by hand: three cubes (60 g), then confirm" in out
    assert "Curtain Up: put an empty Short glass on the platform" in out
    assert out.count("within") == 5
    cooler, curtain = re.findall(r"^ +\d  .+  complete +[\d.]+ +[\d.]+ +([\d.]+) ", out, re.MULTILINE)
    assert float(cooler) == 0
    assert float(curtain) == pytest.approx(24 * 40 / 100, abs=0.4)  # 40 ml of 24 % vol in 100 ml
    assert "audit chain intact" in out


@contextmanager
def staying(records: Path) -> Iterator[str]:
    """The demonstration left running, and where its API answers; ended in order."""
    process = subprocess.Popen(
        [*DEMO, "--stay", "--keep", records], stdout=subprocess.PIPE, text=True, start_new_session=True
    )
    prefer(process.pid)
    give_up = threading.Timer(180, process.terminate)
    give_up.start()
    try:
        assert process.stdout is not None
        said = []
        for line in process.stdout:
            said.append(line)
            if "tarewell round pour" in line:
                break
        (api,) = [line.removeprefix("BAR=").strip() for line in said if line.startswith("BAR=")]
        yield api
    finally:
        give_up.cancel()
        process.send_signal(signal.SIGTERM)
        left, _ = process.communicate(timeout=120)
    assert process.returncode == 128 + signal.SIGTERM, left
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"{api}/health")


def test_it_stays_for_curl_with_a_bar_that_can_pour_everything(tmp_path: Path) -> None:
    with staying(tmp_path) as api, httpx.Client(timeout=60) as client:
        menu = client.get(f"{api}/menu").json()
        assert [drink["name"] for drink in menu["drinks"] if not drink["possible"]] == []
        assert len(menu["drinks"]) == 6


def test_records_that_were_kept_are_taken_up_as_they_were_left(tmp_path: Path) -> None:
    bottle = {"liquid_id": "prompters-cordial", "full_ml": 700}
    with staying(tmp_path) as api, httpx.Client(timeout=60) as client:
        assert client.put(f"{api}/bottles/cordial-2", json=bottle).is_success
        swapped = client.post(f"{api}/channels/4/swap", json={"bottle_id": "cordial-2"})
        assert swapped.is_success, swapped.text
    with staying(tmp_path) as api, httpx.Client(timeout=60) as client:
        assert client.get(f"{api}/bottles/cordial-2").json()["channel"] == 4
        assert len(client.get(f"{api}/menu").json()["drinks"]) == 6
