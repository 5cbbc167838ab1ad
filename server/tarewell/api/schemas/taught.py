"""What a channel has taught about its liquids."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell.dosing.inflight import InFlight
from tarewell.dosing.uncertainty import SeenDrips

from . import View


class SpeedView(View):
    """The flow at a speed, 1 to 255, as a share of that at full speed; 0: the pump did not turn."""

    speed: int
    share: float


class TimedRunView(View):
    """At a speed, a run of t seconds from rest to rest delivers flow x (t - `offset_s`), with this spread."""

    speed: int
    offset_s: float
    spread_s: float
    count: int
    after_gap: bool = Field(description="of runs that begin with the air that a suck-back has left")


class SettlingView(View):
    """So long after a stop the mean of the last readings lacks the flow times `lack_s`, with this spread."""

    after_s: float
    lack_s: float
    spread_s: float
    count: int


class TaughtView(View):
    """What a channel has taught about one liquid. Spreads are standard deviations."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "liquid_id": "prompters-cordial",
                    "stops": 14,
                    "in_flight_s": 0.051,
                    "in_flight_spread_s": 0.022,
                    "flow_g_per_s": 5.31,
                    "flow_spread_share": 0.021,
                    "speeds": [{"speed": 100, "share": 0.29}],
                    "timed_runs": [
                        {"speed": 255, "offset_s": 0.062, "spread_s": 0.012, "count": 5, "after_gap": False}
                    ],
                    "settling": [{"after_s": 0.45, "lack_s": -0.021, "spread_s": 0.006, "count": 9}],
                    "drips_g": 0.12,
                    "drips_seen": 9,
                }
            ]
        }
    )

    liquid_id: str
    stops: int = Field(description="the number of stops that the in-flight time is based on")
    in_flight_s: float = Field(description="what still arrives after a stop, over the flow")
    in_flight_spread_s: float
    flow_g_per_s: float | None = Field(description="at full speed; null: never measured")
    flow_spread_share: float = Field(description="from run to run, as a share of the flow")
    speeds: list[SpeedView]
    timed_runs: list[TimedRunView]
    settling: list[SettlingView]
    drips_g: float = Field(description="what falls into the glass after the verdict, on average")
    drips_seen: int = Field(description="the number of doses that this average is based on")

    @classmethod
    def of(cls, liquid_id: str, taught: InFlight, drips: SeenDrips) -> Self:
        """From the channel's model."""
        return cls(
            liquid_id=liquid_id,
            stops=taught.count,
            in_flight_s=round(taught.lag_s, 3),
            in_flight_spread_s=round(taught.spread_s, 3),
            flow_g_per_s=round(taught.flow_g_per_s, 2) or None,
            flow_spread_share=round(taught.flow_share, 3),
            speeds=[SpeedView(speed=known.speed, share=round(known.share, 3)) for known in taught.speeds],
            timed_runs=[
                TimedRunView(
                    speed=run.speed,
                    offset_s=round(run.offset_s, 3),
                    spread_s=round(run.spread_s, 3),
                    count=run.count,
                    after_gap=run.after_gap,
                )
                for run in taught.runs
            ],
            settling=[
                SettlingView(
                    after_s=point.after_s,
                    lack_s=round(point.lack_s, 4),
                    spread_s=round(point.spread_s, 4),
                    count=point.count,
                )
                for point in taught.settling
            ],
            drips_g=round(drips.mean_g, 2),
            drips_seen=drips.count,
        )
