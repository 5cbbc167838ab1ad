"""Which transaction of the records carries out a change that the machine decided."""

from collections.abc import Callable
from dataclasses import astuple
from datetime import timedelta
from typing import Any

from tarewell.machine import effects as f
from tarewell.machine.pour_record import FoundLater, NewPour
from tarewell.machine.round_record import NewRelease, NewRound, RoundRecord, ServedRecord
from tarewell.records.found_later import add_found_later
from tarewell.records.late_drips import add_late_drips
from tarewell.records.learned import add_calibration, add_inflight
from tarewell.records.pour_changes import append_trace, begin_pour, finish_pour
from tarewell.records.recordings import add_recording
from tarewell.records.round_changes import begin_round, end_glass, finish_round, release_guest
from tarewell.records.rounds import served_since
from tarewell.records.transaction import Transaction, append_event


def transaction_of(change: f.Change) -> tuple[Callable[..., Any], tuple[Any, ...]]:
    """The function to call with a transaction, and its further arguments."""
    match change:
        case NewPour():
            return begin_pour, (change,)
        case NewRound():
            return _begin_round, (change,)
        case NewRelease():
            return release_guest, (change,)
        case f.AppendTrace(pour_id, entries, delivered_g):
            return append_trace, (pour_id, entries, delivered_g)
        case f.FinishPour(pour_id, ended, doses, glass_g, entries):
            return finish_pour, (pour_id, ended, doses, glass_g, entries)
        case FoundLater():
            return add_found_later, (change,)
        case f.AddLateDrips(pour_id, dripped):
            return add_late_drips, (pour_id, dripped)
        case f.AddInFlight(channel, liquid_id, inflight, pour_id):
            return add_inflight, (channel, liquid_id, inflight, pour_id)
        case f.EndGlass(round_id, ended):
            return end_glass, (round_id, ended)
        case f.FinishRound(round_id, state):
            return finish_round, (round_id, state)
        case f.AddCalibration(calibration, how):
            return add_calibration, (calibration, how)
        case f.AddRecording():
            return add_recording, astuple(change)
        case f.AppendEvent(kind, body, pour_id):
            return append_event, (kind, body, pour_id)


def shorter(change: f.Change) -> tuple[Any, ...] | None:
    """The arguments for a second try where the first can never be written: a pour is closed without doses and
    trace, any other change has none."""
    return (change.pour_id, change.ended, (), None) if isinstance(change, f.FinishPour) else None


def _begin_round(transaction: Transaction, new: NewRound) -> tuple[RoundRecord, list[ServedRecord]]:
    """The round, and what guests had within the window of its limit."""
    limit = new.plan.limit
    since = None if limit is None else transaction.at - timedelta(seconds=limit.window_s)
    served = [] if since is None else served_since(transaction.session, since)
    return begin_round(transaction, new), served
