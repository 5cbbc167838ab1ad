"""The bar in words and figures that a page shows."""

from typing import Self

from pydantic import ConfigDict, Field

from tarewell import __version__
from tarewell.api.context import Services
from tarewell.api.headers import LANGUAGE

from . import View


class AboutView(View):
    """Settings that people see, and what is known of the board."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "name": "Interval Bar",
                    "machine_id": "interval-bar",
                    "version": "0.1.0",
                    "page": "6f1c90d2ab34",
                    "language": "en",
                    "currency": "EUR",
                    "scale_max_g": 1000.0,
                    "scale_e_g": 0.1,
                    "standard_drink_g": 7.8924,
                    "limit_standard_drinks": 3.0,
                    "limit_window_h": 4.0,
                    "knob": True,
                    "display": "20x4",
                }
            ]
        }
    )

    name: str = Field(description="the bar's name for people")
    machine_id: str
    version: str = Field(description="of the daemon")
    page: str | None = Field(description="of the page that it serves; null: it has none")
    language: str = Field(description="of the texts that the API gives")
    currency: str | None = Field(description="ISO 4217; null: costs are shown without")
    scale_max_g: float = Field(description="Max of the scale")
    scale_e_g: float = Field(description="its verification scale interval e")
    standard_drink_g: float = Field(description="ethanol in a standard drink")
    limit_standard_drinks: float | None = Field(description="the host's limit for a guest; null: none")
    limit_window_h: float = Field(description="the time over which it counts")
    knob: bool | None = Field(description="whether the board has a knob; null: not known yet")
    display: str | None = Field(description="columns and rows of the board's display, if there is one")

    @classmethod
    def of(cls, machine: Services) -> Self:
        """Of the bar that is served."""
        status, planning = machine.client.state.status, machine.planning
        board = status.link.identity
        return cls(
            name=machine.bar.name,
            machine_id=status.machine_id,
            version=__version__,
            page=machine.page.version,
            language=LANGUAGE,
            currency=machine.bar.currency,
            scale_max_g=machine.bar.scale.max_g,
            scale_e_g=machine.bar.scale.e_g,
            standard_drink_g=planning.standard_drink_g,
            limit_standard_drinks=planning.max_standard_drinks or None,
            limit_window_h=planning.guests_window_h,
            knob=None if board is None else "k" in board.abilities,
            display=None if board is None else board.display,
        )
