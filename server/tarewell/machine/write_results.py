"""What follows once a write is done, or has failed."""

from typing import Any

from tarewell.rounds import events as re

from . import pending as p
from .effects import Answer, Effect, Refuse
from .pouring import Pouring
from .waiting import WaitingRequests
from .weighbridge import Weighbridge


class WriteResults:
    """See above. Times in s of the host's clock."""

    def __init__(self, scale: Weighbridge, waiting: WaitingRequests, pouring: Pouring) -> None:
        self._scale = scale
        self._waiting = waiting
        self._pouring = pouring

    def written(self, key: str, result: Any, now_s: float) -> list[Effect]:
        """A write is done; what waited for it goes on."""
        if (followed := self._pouring.kept(key, now_s)) is not None:
            return followed
        match self._waiting.settle(key):
            case p.PourCommit() as commit:
                return self._pouring.begin(commit, result, now_s)
            case p.RoundCommit(request, asked):
                record, served = result
                effects: list[Effect] = [Answer(asked.number, record)]
                if not record.replayed:
                    decided = self._pouring.rounds.begin(record, request.new.plan, served, now_s)
                    effects += self._pouring.follow(decided, now_s)
                return effects
            case p.ZeroCommit(calibration, asked):
                self._scale.adopt(calibration)
                return [Answer(asked.number, self._scale.indication(now_s))]
            case p.CalibrationCommit(calibration, empty_counts, asked):
                self._scale.adopt(calibration, empty_counts)
                return [Answer(asked.number, calibration)]
            case p.TubeCommit(channel, asked):
                self._pouring.pours.tube_changed(channel)
                return [Answer(asked.number)]
            case p.ReleaseCommit(guest, asked):
                return [Answer(asked.number, result), *self._pouring.tell_round(re.Released(guest), now_s)]
            case p.Lookup(error, asked):
                found = result is not None
                return [Answer(asked.number, result) if found else Refuse(asked.number, error)]
        return []

    def unwritten(self, key: str, error: Exception, now_s: float) -> list[Effect]:
        """A write failed and left nothing behind."""
        match self._waiting.settle(key):
            case p.PourCommit(asked=None):
                return self._pouring.tell_round(re.PourRefused(str(error)), now_s)
            case None:
                return []
            case waited if waited.asked is not None:
                return [Refuse(waited.asked.number, error)]
        return []
