"""A pour's trace: all of its events and outputs."""

from pydantic import ConfigDict

from tarewell.records.exports import TraceLine

from . import View


class TraceView(View):
    """The trace of a pour; columns that an entry does not fill are left out."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pour_id": "01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
                    "entries": [
                        {"host_s": 4120.0, "what": "Ordered", "detail": {"order": "start"}},
                        {
                            "host_s": 4120.0125,
                            "what": "sample",
                            "board_ms": 1834023,
                            "count": 4711,
                            "counts": 472165,
                            "gross_g": 251.3,
                            "running": "",
                            "flags": "",
                        },
                    ],
                }
            ]
        }
    )

    pour_id: str
    entries: list[TraceLine]
