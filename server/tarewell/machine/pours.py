"""Pours one after the other: their intents, the one under way, and what they taught."""

from collections.abc import Mapping
from dataclasses import replace

from tarewell.dosing import events as e
from tarewell.dosing.inflight import InFlight
from tarewell.dosing.maintenance import TubeState
from tarewell.dosing.plan import Purpose
from tarewell.dosing.progress import PourProgress
from tarewell.dosing.setup import PourSetup
from tarewell.dosing.states import PourState
from tarewell.dosing.uncertainty import SeenDrips
from tarewell.weighing.calibration import Calibration
from tarewell_protocol.messages import Identity

from .effects import AddInFlight, Effect, FinishPour, Persist
from .found_later import LaterWeighing
from .known import Known, MachineConfig
from .late_drips import LateDrips, RestTaught
from .needs import Needs
from .pour_record import NewPour
from .pour_run import PourRun
from .requests import NotUnderWayError, PourRequest

REQUEST_EXPIRED = "asked_too_long_ago"
"""Cause of a pour that did not begin, since its request had timed out when its intent was committed."""


def intent(
    request: PourRequest,
    calibration: Calibration,
    identity: Identity | None,
    config: MachineConfig,
    learned: Mapping[tuple[int, str], InFlight],
    drips: Mapping[tuple[int, str], SeenDrips],
    tubes: Mapping[int, TubeState],
) -> NewPour:
    """The intent to commit: the plan with everything that its decisions depend on."""
    doses = [(dose.channel, dose.liquid_id) for dose in request.plan.doses]
    setup = PourSetup(
        request.plan,
        calibration,
        rating=config.scale,
        known={dose[0]: learned[dose] for dose in doses if dose in learned},
        settings=config.dosing,
        drips={dose[0]: drips[dose] for dose in doses if dose in drips},
    )
    if identity is not None:
        setup = replace(
            setup,
            sample_rate_hz=identity.sample_rate_hz,
            filter_delay_s=identity.filter_delay_ms / 1000 or None,
            variable_speed="v" in identity.abilities,
            reversible="r" in identity.abilities,
        )
    return NewPour(
        setup=setup,
        origin=request.origin,
        idempotency_key=request.key,
        fingerprint=request.fingerprint,
        board_id=None if identity is None else identity.board_id,
        board_firmware=None if identity is None else identity.firmware,
        board_channels=None if identity is None else identity.channels,
        recipe=request.recipe,
        tubes=dict(tubes),
    )


class Pours:
    """One pour at a time. It is `followed` until its outcome is in the records."""

    def __init__(self, known: Known, min_glass_g: float) -> None:
        # the machine stood still, and with it its tubes
        self._inflight = {key: taught.widened() for key, taught in known.inflight.items()}
        self._needs = Needs(known.tubes)
        self._run: PourRun | None = None
        self._last_run = 0
        self._later = LaterWeighing(min_glass_g, known.unweighed)
        self._drips = LateDrips(known.drips)

    @property
    def under_way(self) -> PourRun | None:
        """The pour under way."""
        return None if self._run is None or self._run.finished else self._run

    @property
    def followed(self) -> tuple[str, PourProgress] | None:
        """The pour at a glance, until its outcome is in the records."""
        return None if self._run is None else (self._run.pour_id, self._run.progress)

    @property
    def pours_into_glass(self) -> bool:
        """Whether the pour under way has its glass."""
        run = self.under_way
        return run is not None and run.log.glass_g is not None

    @property
    def tubes(self) -> Mapping[int, TubeState]:
        """What each channel's tube holds and needs; of one that is missing nothing is known."""
        return self._needs.tubes

    def assigned(self, channel: int, liquid_id: str | None) -> None:
        """A channel was assigned a liquid, in the records."""
        self._needs.assigned(channel, liquid_id)

    def changed(self, channel: int) -> None:
        """Another bottle, or maintenance: what the channel has taught is less sure."""
        for key, taught in self._inflight.items():
            if key[0] == channel:
                self._inflight[key] = taught.widened()

    def tube_changed(self, channel: int) -> None:
        """A channel has a new tube, which pours another flow: what the old one taught is forgotten."""
        self._needs.tube_changed(channel)
        self._inflight = {key: taught for key, taught in self._inflight.items() if key[0] != channel}
        self._drips.forget(channel)

    @property
    def wakeup_s(self) -> float | None:
        """When it wants to be woken at the latest."""
        return None if self._run is None else self._run.wakeup_s

    @property
    def inflight(self) -> Mapping[tuple[int, str], InFlight]:
        """What the channels have taught, by channel and liquid."""
        return self._inflight

    @property
    def drips(self) -> Mapping[tuple[int, str], SeenDrips]:
        """What the channels usually drip after the verdict, by channel and liquid."""
        return self._drips.seen

    def begin(self, pour_id: str, setup: PourSetup, now_s: float) -> PourRun:
        """Its intent is in the records: it is under way."""
        self._run = PourRun(pour_id, setup, now_s, self._last_run)
        self._needs.begun(setup.plan)
        return self._run

    @staticmethod
    def expire(pour_id: str) -> Effect:
        """Its intent is in the records too late: it does not begin."""
        ended = e.PourEnded(PourState.ABORTED.value, REQUEST_EXPIRED, 0.0)
        return Persist(FinishPour(pour_id, ended, (), None))

    def get(self, pour_id: str) -> PourRun:
        """The pour under way.

        Raises:
            NotUnderWayError: it is over, or there is no such pour.
        """
        run = self.under_way
        if run is None or run.pour_id != pour_id:
            what_is = "none is" if run is None else f"pour {run.pour_id} is"
            raise NotUnderWayError(f"pour {pour_id} is not under way; {what_is}")
        return run

    def fed(self, run: PourRun | None, event: e.PourInput, now_s: float) -> list[Effect]:
        """The pour that was under way, if any, has been fed this: what else follows."""
        tared = run is not None and run.log.glass_g is not None
        drips = self._drips.follow(event, now_s, tared=tared)
        if (taught := self._drips.taught) is not None:
            drips += self._learn_rest(taught)
        return drips + self.learn(run, now_s) + self._later.follow(event, now_s)

    def _learn_rest(self, taught: RestTaught) -> list[Effect]:
        key = taught.channel, taught.liquid_id
        if (known := self._inflight.get(key)) is None:  # a new tube since
            return []
        self._inflight[key] = known.with_lacks(taught.lacks)
        return [Persist(AddInFlight(*key, self._inflight[key], taught.pour_id))]

    def follows(self, run: int) -> bool:
        """Whether the run with this number is the one that the pour under way asked for last."""
        pour = self.under_way
        return pour is not None and pour.follows(run)

    def kept(self, key: str) -> PourRun | None:
        """A write with this key is done: the pour whose outcome it was, which is followed no longer."""
        run = self._run
        if run is None or run.kept_key != key:
            return None
        self._run = None
        return run

    def learn(self, run: PourRun | None, now_s: float) -> list[Effect]:
        """The pour under way, if any, has been told something: what there is to learn of it."""
        if run is None:
            return []
        self._last_run = run.last_run
        if not run.finished:
            glass_g = run.log.glass_g
            return [] if glass_g is None else self._later.tared(glass_g, now_s)
        if run.log.ended is None:
            return []
        self._inflight |= run.log.learned
        if run.plan.purpose is not Purpose.DRINK:
            self.changed(run.plan.doses[0].channel)
        self._needs.over(run.plan, run.log)
        self._drips.ended(run.pour_id, run.plan, run.drips)
        return self._later.ended(run.pour_id, run.log.ended, run.left_behind, now_s)
