"""What the machine has learned about itself: calibrations and in-flight times. Each is a new row."""

import json
from dataclasses import asdict

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from tarewell.dosing.inflight import FIRST_FLOW_SHARE, InFlight
from tarewell.dosing.runs import RunOffset
from tarewell.dosing.settling import SettlingPoint
from tarewell.dosing.speeds import SpeedFlow
from tarewell.weighing.calibration import Calibration
from tarewell.weighing.corners import CornerCheck

from .chain import CALIBRATED, canonical
from .engine import Database
from .tables import CalibrationRow, InFlightRow
from .transaction import Transaction
from .tubes import changed_tubes
from .values import CalibrationRecord
from .writer import Writes


class Calibrations:
    """The store's calibrations; the newest is in use."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def current(self) -> Calibration | None:
        """The calibration in use; None: the scale was never calibrated."""
        newest = await self.history(1)
        return newest[0].calibration if newest else None

    async def adjusted_zero_counts(self) -> float | None:
        """The zero of the last two-point calibration; None: there was none."""
        query = select(CalibrationRow.zero_counts).where(CalibrationRow.how == "two_point")
        newest = query.order_by(CalibrationRow.id.desc()).limit(1)
        return await self._database.read(lambda session: session.scalar(newest))

    async def history(self, limit: int = 50) -> list[CalibrationRecord]:
        """The calibrations, newest first, at most `limit`."""
        query = select(CalibrationRow).order_by(CalibrationRow.id.desc()).limit(limit)

        def work(session: Session) -> list[CalibrationRecord]:
            return [
                CalibrationRecord(Calibration(row.zero_counts, row.counts_per_g), row.at, row.how)
                for row in session.scalars(query)
            ]

        return await self._database.read(work)

    async def note_corners(self, check: CornerCheck) -> None:
        """Append what an eccentricity test found to the journal.

        Raises:
            StoreError: it could not be written.
        """
        await self._writes.write(note_corners, check)

    async def add(self, calibration: Calibration, how: str) -> CalibrationRecord:
        """Append a calibration made by "two_point", or a new zero ("zero"), with its journal event.

        Raises:
            StoreError: it could not be written, `how` is another word, or the span is 0.
        """
        return await self._writes.write(add_calibration, calibration, how)


def add_calibration(transaction: Transaction, calibration: Calibration, how: str) -> CalibrationRecord:
    """Write a calibration and the event that seals it."""
    figures = {"zero_counts": calibration.zero_counts, "counts_per_g": calibration.counts_per_g, "how": how}
    statement = insert(CalibrationRow).values(machine_id=transaction.machine_id, at=transaction.at, **figures)
    key = transaction.session.execute(statement.returning(CalibrationRow.id)).scalar_one()
    transaction.append_sealed(CALIBRATED, {**figures, "calibration_id": key}, key)
    return CalibrationRecord(calibration, transaction.at, how)


def note_corners(transaction: Transaction, check: CornerCheck) -> None:
    """Write down what an eccentricity test found."""
    transaction.append("corners_checked", {**asdict(check), "limit_e": check.limit_e, "within": check.within})


class InFlights:
    """The store's in-flight times; for each channel with each liquid the newest since the channel's tube was
    changed is in use."""

    def __init__(self, database: Database, writes: Writes) -> None:
        self._database = database
        self._writes = writes

    async def current(self) -> dict[tuple[int, str], InFlight]:
        """The in-flight times in use, by channel and liquid id."""
        return await self._database.read(current_inflight)

    async def add(self, channel: int, liquid_id: str, inflight: InFlight, pour_id: str | None) -> None:
        """Append what a stop has taught; the trace of its pour has the details.

        Raises:
            StoreError: it could not be written, or there is no such liquid or pour.
        """
        await self._writes.write(add_inflight, channel, liquid_id, inflight, pour_id)


def add_inflight(
    transaction: Transaction, channel: int, liquid_id: str, inflight: InFlight, pour_id: str | None
) -> None:
    """Write what a stop has taught."""
    transaction.session.execute(
        insert(InFlightRow).values(
            machine_id=transaction.machine_id,
            at=transaction.at,
            channel=channel,
            liquid_id=liquid_id,
            lag_s=inflight.lag_s,
            spread_s=inflight.spread_s,
            flow_g_per_s=inflight.flow_g_per_s,
            count=inflight.count,
            pour_id=pour_id,
            speeds=canonical({str(point.speed): point.share for point in inflight.speeds}),
            flow_share=inflight.flow_share,
            runs=canonical([asdict(run) for run in inflight.runs]),
            settling=canonical([asdict(point) for point in inflight.settling]),
        )
    )


def current_inflight(session: Session) -> dict[tuple[int, str], InFlight]:
    """The same as `InFlights.current`, within a transaction."""
    newest = select(func.max(InFlightRow.id)).group_by(InFlightRow.channel, InFlightRow.liquid_id)
    query, changed = select(InFlightRow).where(InFlightRow.id.in_(newest)), changed_tubes(session)
    return {
        (row.channel, row.liquid_id): InFlight(
            row.lag_s,
            row.spread_s,
            row.flow_g_per_s,
            row.count,
            _speeds(row.speeds),
            FIRST_FLOW_SHARE if row.flow_share is None else row.flow_share,
            tuple(RunOffset(**run) for run in json.loads(row.runs or "[]")),
            tuple(SettlingPoint(**point) for point in json.loads(row.settling or "[]")),
        )
        for row in session.scalars(query)
        if row.channel not in changed or (row.pour_id or "") > changed[row.channel]
    }


def _speeds(text: str | None) -> tuple[SpeedFlow, ...]:
    """Rows of older programs have none."""
    shares = json.loads(text or "{}")
    return tuple(sorted(SpeedFlow(int(speed), share) for speed, share in shares.items()))
