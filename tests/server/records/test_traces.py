"""The codec of traces: exact, small, and readable for ever."""

import json
import math
import struct
import zlib
from base64 import b64decode
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records_samples import dose_ended, trace
from tarewell.dosing import events as e
from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.alarms import Alarm, alarm
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.proportions import Limit
from tarewell.dosing.replay import replay
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.speeds import SpeedFlow
from tarewell.dosing.tolerance import Verdict
from tarewell.dosing.traces import VERSION, TraceEntry, TraceError, decode, encode
from tarewell.typed_json import load
from tarewell_protocol.messages import COUNTS_MAX, COUNTS_MIN, Direction, Run, Sample, StopCause

floats = st.floats(allow_nan=False)
words = st.text(max_size=20)
channels = st.integers(1, 8)

samples = st.builds(
    Sample,
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**16 - 1),
    st.integers(COUNTS_MIN, COUNTS_MAX),
    st.integers(0, 255),
    *[st.booleans()] * 5,
)
runs = st.builds(
    Run,
    channels,
    st.sampled_from(Direction),
    st.integers(1, 255),
    st.integers(1, 480),
    st.integers(COUNTS_MIN, COUNTS_MAX),
    st.integers(1, 999_999),
    ceiling_above=st.booleans(),
    number=st.integers(0, 255),
)
alarms = st.builds(alarm, st.sampled_from(sorted(ALARMS)), words)

ITEMS: dict[type, st.SearchStrategy[Any]] = {
    e.PourCommanded: st.builds(e.PourCommanded, st.sampled_from(e.PourCommand)),
    e.Weighed: st.builds(e.Weighed, samples),
    e.BoardStopped: st.builds(e.BoardStopped, channels, st.sampled_from(StopCause)),
    e.BoardRefused: st.builds(e.BoardRefused, channels, words),
    e.LinkLost: st.builds(e.LinkLost, words),
    e.WatchRaised: st.builds(e.WatchRaised, alarms),
    e.Tick: st.just(e.Tick()),
    e.RunPump: st.builds(e.RunPump, runs),
    e.StopPumps: st.just(e.StopPumps()),
    e.RenewLease: st.builds(e.RenewLease, st.integers(1, 480)),
    e.TripEmergencyStop: st.just(e.TripEmergencyStop()),
    e.PourStateChanged: st.builds(e.PourStateChanged, words),
    e.Tared: st.builds(e.Tared, floats),
    e.DoseBegan: st.builds(e.DoseBegan, st.integers(0, 20), floats),
    e.DoseEnded: st.builds(
        e.DoseEnded,
        st.integers(0, 20),
        floats,
        floats,
        floats,
        st.integers(0, 20),
        floats,
        st.none() | floats,
        floats,
        st.none() | st.sampled_from(Verdict),
        words,
        st.none() | floats,
    ),
    e.Balanced: st.builds(e.Balanced, st.integers(0, 20), floats, floats, floats),
    e.Rescaled: st.builds(
        e.Rescaled,
        st.integers(0, 20),
        floats,
        st.lists(floats, max_size=5).map(tuple),
        st.none() | st.sampled_from(Limit),
    ),
    e.Learned: st.builds(
        e.Learned,
        channels,
        words,
        st.builds(
            InFlight,
            floats,
            floats,
            floats,
            st.integers(0, 9999),
            st.lists(st.builds(SpeedFlow, st.integers(1, 255), floats), max_size=3).map(tuple),
        ),
    ),
    e.Raised: st.builds(e.Raised, alarms),
    e.PourEnded: st.builds(e.PourEnded, words, words, floats),
}
entries = st.builds(TraceEntry, floats, st.one_of(*ITEMS.values()))


def test_every_event_and_output_is_tried() -> None:
    assert set(ITEMS) == {*get_args(e.PourEvent), *get_args(e.PourOutput)}


@given(st.lists(entries, max_size=60))
def test_what_went_in_comes_out(trace: list[TraceEntry]) -> None:
    back = decode(encode(trace))
    assert back == trace
    assert repr(back) == repr(trace)  # tells 1 from 1.0 and True, -0.0 from 0.0, and an enum from its text


@given(st.floats())
def test_a_float_keeps_all_its_bits(value: float) -> None:
    (back,) = decode(encode([TraceEntry(value, e.Tick())]))
    assert struct.pack("<d", back.now_s) == struct.pack("<d", value)


def test_a_field_that_is_no_number_stays_so() -> None:
    (back,) = decode(encode([TraceEntry(1.0, e.Tared(math.nan))]))
    assert isinstance(back.item, e.Tared)
    assert math.isnan(back.item.glass_g)


def test_nothing_at_all_is_a_trace() -> None:
    assert decode(encode([])) == []


@pytest.mark.parametrize(
    "sample",
    [
        Sample(2**32, 2, 3, 0),
        Sample(-1, 2, 3, 0),
        Sample(1, 65536, 3, 0),
        Sample(1, 2, COUNTS_MAX + 1, 0),
        Sample(1, 2, COUNTS_MIN - 1, 0),
        Sample(1, 2, 3, 256),
    ],
)
def test_a_sample_that_no_board_can_send_is_refused(sample: Sample) -> None:
    with pytest.raises(TraceError, match="outside the board's range"):
        encode([TraceEntry(0.0, e.Weighed(sample))])


def test_a_half_minute_at_80_samples_a_second_stays_small() -> None:
    seconds = [trace(1.0, 100.0 + second) for second in range(30)]
    assert sum(len(encode(chunk)) for chunk in seconds) < 28_500


# One chunk written by each version. It must be readable as long as databases of that time are.
GOLDEN = {version: Path(__file__).with_name(f"trace_v{version}.hex") for version in (1, 2)}
GOLDEN_ENTRIES = [
    TraceEntry(81234.015625, e.PourCommanded(e.PourCommand.START)),
    TraceEntry(81234.02, e.Weighed(Sample(4294967290, 65535, -8388608, 0))),
    TraceEntry(81234.032, e.Weighed(Sample(6, 0, 8388607, 0, True, True, True))),
    TraceEntry(81234.0321, e.PourStateChanged("coarse_feed")),
    TraceEntry(81234.0321, e.Tared(251.3)),
    TraceEntry(81234.0321, e.DoseBegan(0, 2.4)),
    TraceEntry(81234.0321, e.RunPump(Run(3, Direction.FORWARD, 255, 400, 1203941, 15000))),
    TraceEntry(81234.1, e.RenewLease(400)),
    TraceEntry(81234.2, e.Tick()),
    TraceEntry(81234.3, e.StopPumps()),
    TraceEntry(81234.31, e.BoardStopped(3, StopCause.HOST)),
    TraceEntry(81234.32, e.Learned(3, "elderflower", InFlight(0.31, 0.02, 8.25, 12))),
    TraceEntry(81234.4, e.BoardRefused(3, "latched")),
    TraceEntry(81234.5, e.Raised(Alarm("no_flow", ALARMS["no_flow"].reaction, "m", "c", "0 g in 5 s"))),
    TraceEntry(81234.6, e.LinkLost("no bytes for 500 ms")),
    TraceEntry(81234.7, e.TripEmergencyStop()),
    TraceEntry(81234.8, dose_ended(0)),
    TraceEntry(81234.9, e.PourEnded("aborted", "link_lost", 40.2)),
]
LATER = {e.Balanced, e.Rescaled, e.WatchRaised}
"""What came after that chunk was written; the form of a chunk has not changed for it."""


def test_a_chunk_of_version_1_is_read() -> None:
    assert decode(bytes.fromhex(GOLDEN[1].read_text())) == GOLDEN_ENTRIES
    assert {type(entry.item) for entry in GOLDEN_ENTRIES} == set(ITEMS) - LATER


def test_a_pour_of_version_1_is_read_and_replays() -> None:
    """Written before runs had numbers: set-up and trace of 18 g from the simulated machine. Tare and first
    feed are decided as they were then; the way to end a dose has changed since."""
    pour = json.loads(Path(__file__).with_name("pour_v1.json").read_text())
    entries = decode(b64decode(pour["trace"]))
    report = replay(load(PourSetup, pour["setup"]), [(entry.now_s, entry.item) for entry in entries])
    assert (report.events, report.decisions > 20) == (881, True)
    begun_s = next(entry.now_s for entry in entries if isinstance(entry.item, e.RunPump))
    assert all(difference.now_s > begun_s for difference in report.differences)


def test_a_chunk_of_version_2_is_read() -> None:
    """With what version 1 did not know: two flags of a sample, the number of a run, causes of a stop."""
    assert decode(bytes.fromhex(GOLDEN[2].read_text())) == [
        TraceEntry(81234.02, e.Weighed(Sample(1, 2, 3, 0, interlock_open=True))),
        TraceEntry(81234.03, e.Weighed(Sample(13, 3, 4, 4, latched=True, supply_off=True))),
        TraceEntry(81234.0321, e.RunPump(Run(3, Direction.FORWARD, 255, 400, 1203941, 15000, number=7))),
        TraceEntry(81234.31, e.BoardStopped(3, StopCause.SUPPLY)),
    ]


def test_a_chunk_of_another_version_is_named() -> None:
    chunk = bytes((VERSION + 1,)) + encode(trace(0.1))[1:]
    with pytest.raises(TraceError, match="version that wrote it"):
        decode(chunk)
    with pytest.raises(TraceError, match="nothing"):
        decode(b"")


@given(st.binary(max_size=200))
def test_noise_in_a_chunk_is_an_error_of_its_own(noise: bytes) -> None:
    for chunk in (bytes((VERSION,)) + noise, bytes((VERSION,)) + zlib.compress(noise)):
        with pytest.raises(TraceError):
            decode(chunk)


@given(st.data())
def test_a_chunk_with_its_contents_cut_or_changed_never_fails_otherwise(data: st.DataObject) -> None:
    payload = bytearray(zlib.decompress(encode(trace(0.2))[1:]))
    del payload[data.draw(st.integers(0, len(payload))) :]
    if payload:
        payload[data.draw(st.integers(0, len(payload) - 1))] = data.draw(st.integers(0, 255))
    try:
        back = decode(bytes((VERSION,)) + zlib.compress(bytes(payload)))
    except TraceError:
        return
    assert all(isinstance(entry, TraceEntry) for entry in back)
