"""A pour's trace: everything it was fed and answered."""

import re
from typing import Any, Self

from fastapi.encoders import jsonable_encoder
from pydantic import ConfigDict, Field

from tarewell.dosing.events import Weighed
from tarewell.records.traces import TraceEntry
from tarewell.weighing.calibration import Calibration

from . import View


class TraceRow(View):
    """One entry; the sample's fields are null for any other kind, which has `detail` instead."""

    t_s: float = Field(description="s since the first entry, by the host's monotonic clock")
    kind: str = Field(description="sample, ordered, run_pump, state_changed, dose_ended, raised and so on")
    board_ms: int | None = None
    counts: int | None = None
    gross_g: float | None = Field(default=None, description="by the calibration that the pour started with")
    running: int | None = Field(default=None, description="running channels, bit n-1 for channel n")
    detail: dict[str, Any] | None = None

    @classmethod
    def of(cls, entry: TraceEntry, start_s: float, calibration: Calibration) -> Self:
        """From the stored entry."""
        t_s = round(entry.now_s - start_s, 6)
        if isinstance(entry.item, Weighed):
            sample = entry.item.sample
            return cls(
                t_s=t_s,
                kind="sample",
                board_ms=sample.board_ms,
                counts=sample.counts,
                gross_g=round(calibration.grams(sample.counts), 3),
                running=sample.running,
            )
        kind = re.sub(r"(?<!^)(?=[A-Z])", "_", type(entry.item).__name__).lower()
        return cls(t_s=t_s, kind=kind, detail=jsonable_encoder(entry.item))


class TraceView(View):
    """The whole trace of a pour."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "entries": [
                        {
                            "t_s": 0.0,
                            "kind": "ordered",
                            "board_ms": None,
                            "counts": None,
                            "gross_g": None,
                            "running": None,
                            "detail": {"order": "start"},
                        },
                        {
                            "t_s": 0.0125,
                            "kind": "sample",
                            "board_ms": 1834023,
                            "counts": 455443,
                            "gross_g": 251.3,
                            "running": 0,
                            "detail": None,
                        },
                    ],
                }
            ]
        }
    )

    pour_id: str
    entries: list[TraceRow]
