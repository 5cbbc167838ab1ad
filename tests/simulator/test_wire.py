"""The wire: whole, byte by byte, lossy, doubled, delayed; and a session that lives with it."""

from collections.abc import Callable
from random import Random
from typing import Any

import pytest

from tarewell_protocol import messages as m
from tarewell_protocol.session import Phase
from tarewell_sim.machine import SimulatedMachine
from tarewell_sim.specs import Scenario
from tarewell_sim.wire import Wire, WireFaults

LINES = [b"line %d of the script\n" % n for n in range(500)]


def carry(faults: WireFaults, pieces: list[bytes], seed: int = 1) -> bytes:
    wire = Wire(115200, Random(seed))
    wire.faults = faults
    for piece in pieces:
        wire.push(piece, 0.0)
    return wire.pop(1e9)


def single_bytes(lines: list[bytes]) -> list[bytes]:
    return [bytes([byte]) for line in lines for byte in line]


@pytest.mark.parametrize("cut", [list, single_bytes])
def test_a_healthy_wire_carries_everything(cut: Callable[[list[bytes]], list[bytes]]) -> None:
    assert carry(WireFaults(), cut(LINES)) == b"".join(LINES)


@pytest.mark.parametrize("cut", [list, single_bytes])
def test_lost_lines_are_whole_lines(cut: Callable[[list[bytes]], list[bytes]]) -> None:
    arrived = carry(WireFaults(lose=0.2), cut(LINES)).splitlines(keepends=True)
    assert set(arrived) < set(LINES)
    assert len(arrived) == pytest.approx(400, abs=40)
    assert arrived == sorted(arrived, key=LINES.index)


@pytest.mark.parametrize("cut", [list, single_bytes])
def test_doubled_lines_come_one_after_the_other(cut: Callable[[list[bytes]], list[bytes]]) -> None:
    arrived = carry(WireFaults(duplicate=0.2), cut(LINES)).splitlines(keepends=True)
    assert set(arrived) == set(LINES)
    assert len(arrived) == pytest.approx(600, abs=40)
    assert arrived == sorted(arrived, key=LINES.index)


def test_bytes_go_wrong_at_their_rate_by_one_bit_each() -> None:
    sent = b"".join(LINES)
    arrived = carry(WireFaults(byte_error_rate=0.01), LINES)
    wrong = [a ^ b for a, b in zip(sent, arrived, strict=True) if a != b]
    assert len(wrong) == pytest.approx(0.01 * len(sent), rel=0.35)
    assert all(bits.bit_count() == 1 for bits in wrong)


def test_the_seed_decides() -> None:
    faults = WireFaults(byte_error_rate=0.01, lose=0.1, duplicate=0.1)
    assert carry(faults, LINES, 3) == carry(faults, LINES, 3) != carry(faults, LINES, 4)


def test_bytes_queue_at_the_line_rate_and_wait_for_the_delay() -> None:
    wire = Wire(115200, Random(1))
    wire.push(b"x" * 1152, 0.0)  # 100 ms
    wire.push(b"y" * 1152, 0.0)
    assert wire.pop(0.0999) == b""
    assert wire.pop(0.1001) == b"x" * 1152
    assert wire.pop(0.2001) == b"y" * 1152
    wire.faults = WireFaults(delay_s=0.5)
    wire.push(b"z", 1.0)
    assert (wire.pop(1.4), wire.pop(1.51)) == (b"", b"z")


def test_pulling_the_plug_loses_what_is_on_the_way() -> None:
    wire = Wire(115200, Random(1))
    wire.push(b"gone", 0.0)
    wire.plug(False)
    wire.push(b"never sent", 0.1)
    wire.plug(True)
    wire.push(b"here", 0.2)
    assert wire.pop(1.0) == b"here"


@pytest.mark.parametrize(
    "faults",
    [
        {"delay_s": 0.02},
        {"lose": 0.05, "duplicate": 0.05},
        {"byte_error_rate": 0.002},
    ],
)
def test_a_session_pours_over_a_bad_wire(theatre: Scenario, host: Any, faults: dict[str, float]) -> None:
    machine = SimulatedMachine(theatre, 5)
    machine.bench.place_glass()
    machine.bench.wire(**faults)
    desk = host(machine)
    desk.run(2.0)
    assert desk.session.phase is Phase.OPEN
    desk.pour(m.Run(1, m.Direction.FORWARD, 255, 450, 2_000_000, 20_000), 3.0)
    desk.run(1.0)
    assert machine.truth.pump_on == frozenset()
    assert machine.truth.delivered_g[1] > 10
