"""Requests, answers and the machine's state are the same on the other side of a socket."""

import json
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from machine_double import BOARD, CALIBRATION
from menu_samples import GLASSES, LIQUIDS
from records_samples import COMPLETE, dose_ended, new_pour
from round_steps import MENU, begins, ends, glasses, stands, steps
from tarewell.dosing.alarms import alarm
from tarewell.dosing.events import PourCommand
from tarewell.dosing.maintenance import ChannelNeed, Remains, TubeState
from tarewell.dosing.plan import Agent, DosePlan, PourPlan, Purpose
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.states import PourState
from tarewell.exchange.wire import (
    MAX_LINE_BYTES,
    REQUESTS,
    WireError,
    dump_request,
    line_of,
    load_answer,
    load_request,
    messages_in,
)
from tarewell.machine import requests as r
from tarewell.machine.alarms import ActiveAlarm
from tarewell.machine.link_status import LinkState, LinkStatus
from tarewell.machine.pour_record import RecipeNote
from tarewell.machine.round_record import NewRelease, NewRound
from tarewell.records.store import Store
from tarewell.records.values import Change
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.feasible import Wanted
from tarewell.rounds.guests import ServingLimit
from tarewell.rounds.plan import MAX_GLASSES, RoundPlan
from tarewell.rounds.states import RoundState
from tarewell.typed_json import dump, load
from tarewell.weighing.scale import Indication
from tarewell_protocol.messages import BoardStats, SelfTest, SelfTestVerdict

SEAT = "seat 14"
PLAN = RoundPlan(
    glasses(Wanted("strong", guest=SEAT), "split", "on-ice"),
    {liquid.id: liquid for liquid in LIQUIDS},
    {glass.id: glass for glass in GLASSES},
    auto_start=True,
    min_glass_g=25.0,
    limit=ServingLimit(2.0, 4 * 3600.0, 7.894),
)
NO_FLOW = replace(alarm("no_flow", "0.1 g", 4), liquid="Prompter's Cordial", bottle="cordial-2")
SHOWN = Indication(251.3, 1.3, 250.0, 472165, stable=True, overload=False, rest_g=251.25)

ASKED: list[r.MachineRequest[Any]] = [
    r.PourRequest(
        PourPlan(
            (DosePlan(1, "house-water", 30.1), DosePlan(4, "cordial", 12.0)),
            310.5,
            purpose=Purpose.FLUSH,
            agent=Agent.CLEANER,
        ),
        "api",
        "k-1",
        "f-1",
        RecipeNote("second-bell", "Second Bell – großes Glas", "foyer-tumbler", "serving"),
    ),
    r.CommandPour("7", PourCommand.HOLD),
    r.BeginRound(NewRound(PLAN, "panel", "k-2", "f-2")),
    r.CommandRound("8", RoundCommand.SKIP),
    r.ReleaseGuest(SEAT, "the host", "goes by train"),
    r.SetZero(),
    r.SetTare(),
    r.ClearTare(),
    r.ReadEmpty(),
    r.Calibrate(-84213.4, 500.0),
    r.ChangeTube(4),
    r.TriggerEmergencyStop(),
    r.ReleaseLatchedStop(),
    r.AcknowledgeAlarm("no_flow-4"),
    r.ShelveAlarm("host_busy", 1800.0),
    r.ReadCounters(),
    r.ShowLine(2, 'Glas "bitte" \\ ü'),
]


def crossed(message: dict[str, Any]) -> dict[str, Any]:
    (found,), rest = messages_in(line_of(message))
    assert rest == b""
    return found


@pytest.mark.parametrize("request_", ASKED, ids=lambda asked: type(asked).__name__)
def test_a_request_is_the_same_on_the_other_side(request_: r.MachineRequest[Any]) -> None:
    assert load_request(crossed(dump_request(request_))) == request_


def test_every_request_was_tried() -> None:
    assert {type(asked) for asked in ASKED} == set(REQUESTS.values())


@pytest.mark.parametrize(
    "message",
    [
        {},
        {"ask": "MakeCoffee", "with": {}},
        {"ask": "SetZero"},
        {"ask": "SetZero", "with": {"grams": 3}},
        {"ask": "Calibrate", "with": {"empty_counts": "many", "reference_g": 500}},
    ],
)
def test_a_request_of_another_build_is_named(message: dict[str, Any]) -> None:
    with pytest.raises(WireError, match="cannot be read"):
        load_request(message)


def open_fields(value: Any, path: str = "") -> Iterator[str]:
    """Where something is None or empty, and so says nothing about its type."""
    if value is None or (isinstance(value, tuple | dict | frozenset) and not value):
        yield path
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from open_fields(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from open_fields(item, f"{path}[{key}]")
    elif isinstance(value, tuple):
        for item in value:
            yield from open_fields(item, path)


def full_state() -> r.MachineState:
    made = steps(Wanted("split", guest=SEAT), "strong")
    tumbler_g = 200.0
    made.feed(stands(tumbler_g), begins(), ends(60.1))
    progress = made.machine.progress(made.now_s, ())
    assert progress.state is RoundState.BY_HAND
    assert progress.hand is not None
    return r.MachineState(
        status=r.MachineStatus(
            machine_id="interval-bar",
            link=LinkStatus(LinkState.OPEN, 12.0, "session open", BOARD),
            indication=SHOWN,
            calibrated=True,
            latched=True,
            pour_id="7",
            blockers=("the emergency stop is latched", "another one"),
            round_id="8",
            alarms=(
                ActiveAlarm(NO_FLOW, 12.0, 13.5, "7", shelved_until_s=90.0),
                ActiveAlarm(NO_FLOW, 1.0, 2.0, "6", present=False, acknowledged=True, shelved_until_s=3.0),
            ),
            self_test=SelfTest(SelfTestVerdict.OK, 0x5A17, SelfTestVerdict.BAD, 0x91C3),
        ),
        tubes={
            1: TubeState(ChannelNeed.RINSE, {"house-water": Remains.TRACES}),
            8: TubeState(ChannelNeed.PRIME, {"overture": Remains.FILLED}),
        },
        followed_pour="7",
        pour=PourProgress(PourState.HELD, 1, (40.25, 3.1), 251.3, NO_FLOW, (40.0, 41.5)),
        followed_round="8",
        round=replace(progress, guest=SEAT, detail="a detail", pour_id="7", remaining_s=31.5),
    )


def test_a_whole_state_is_the_same_on_the_other_side() -> None:
    state = full_state()
    # a waiting glass has no pours and no outcome; a step by hand has no mass before it is confirmed
    assert not [path for path in open_fields(state) if not path.startswith(".round.")]
    found = load(r.MachineState, crossed({"state": dump(state)})["state"])
    assert found == state
    assert found.round is not None
    assert found.round.hand == state.round.hand if state.round else False
    assert [type(tube.need) for tube in found.tubes.values()] == [ChannelNeed, ChannelNeed]


def test_a_state_in_which_nothing_happens_is_the_same_too() -> None:
    link = LinkStatus(LinkState.CONNECTING, 0.0, "no such device")
    state = r.MachineState(r.MachineStatus("interval-bar", link, None, False, False, None, ()))
    assert load(r.MachineState, crossed({"state": dump(state)})["state"]) == state


@pytest.mark.parametrize(
    ("request_", "answer"),
    [
        (r.SetZero(), SHOWN),
        (r.SetTare(), None),
        (r.ReadEmpty(), -84213.4),
        (r.Calibrate(-84213.4, 500.0), CALIBRATION),
        (r.ReadCounters(), BoardStats(18211, 2, 0, 1, 65535, 3, 4)),
        (r.CommandPour("7", PourCommand.STOP), None),
    ],
    ids=lambda value: type(value).__name__,
)
def test_an_answer_is_the_same_on_the_other_side(request_: r.MachineRequest[Any], answer: Any) -> None:
    assert load_answer(request_, crossed({"result": dump(answer)})["result"]) == answer


async def test_records_are_the_same_on_the_other_side(store: Store) -> None:
    pour = await store.pours.begin(new_pour("k", "f", recipe=RecipeNote("bell", "Bell")))
    done = await store.pours.finish(pour.id, COMPLETE, [dose_ended(0), dose_ended(1)], 251.3)
    asked = ASKED[0]
    for record in (pour, done, replace(done, replayed=True)):
        assert load_answer(asked, crossed({"result": dump(record)})["result"]) == record
    for part in (*LIQUIDS, *GLASSES, *MENU.recipes.values()):
        await store.apply([Change(None, part)])
    begun = await store.rounds.begin(NewRound(PLAN, "api"))
    assert load_answer(ASKED[2], crossed({"result": dump(begun)})["result"]) == begun
    told = await store.rounds.release(NewRelease(SEAT, begun.id, 0, "the host", "goes by train"))
    assert load_answer(ASKED[4], crossed({"result": dump(told)})["result"]) == told


def test_a_round_of_the_most_glasses_fits_a_line() -> None:
    """100 glasses of a drink with as much in it as these have; the limit is what a front may send."""
    many = replace(PLAN, glasses=(replace(PLAN.glasses[1], guest=SEAT),) * MAX_GLASSES)
    line = line_of(dump_request(r.BeginRound(NewRound(many, "api", "k" * 255, "f" * 64))))
    assert len(line) < MAX_LINE_BYTES / 2


MESSAGES = st.lists(st.dictionaries(st.text(), st.text() | st.integers() | st.none()), max_size=8)


@settings(deadline=None)
@given(MESSAGES, st.lists(st.integers(1, 30)))
def test_lines_are_put_together_from_any_pieces(messages: list[dict[str, Any]], sizes: list[int]) -> None:
    data = b"".join(map(line_of, messages))
    rest, found = b"", list[dict[str, Any]]()
    for size in [*sizes, len(data)]:
        piece, data = data[:size], data[size:]
        complete, rest = messages_in(rest + piece)
        found += complete
    complete, rest = messages_in(rest + data)
    assert found + complete == messages and not rest


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"x" * (MAX_LINE_BYTES + 1), "more than"),
        (b"coffee\n", "not JSON"),
        (b"[1]\n", "not a JSON object"),
        (b"\xff\n", "not JSON"),
    ],
    ids=["too long", "no JSON", "no object", "no text"],
)
def test_a_line_that_is_none_is_refused(data: bytes, told: str) -> None:
    with pytest.raises(WireError, match=told):
        messages_in(data)


def test_what_is_sent_is_plain_json() -> None:
    text = line_of(dump_request(ASKED[2])).decode("ascii")
    assert text.count("\n") == 1
    assert json.loads(text)["ask"] == "BeginRound"
