"""The settings as checked values; docs/operating.md explains each one, `settings_sources` reads them.

The front is given them, and loads nothing that reads files or the environment for them.
"""

import os
import re
from dataclasses import dataclass, fields
from ipaddress import ip_address
from math import isfinite
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, SecretStr, ValidationInfo, field_validator, model_validator

from tarewell.device.port import split_tcp
from tarewell.dosing.ranges import faults_of
from tarewell.dosing.setup import DosingSettings
from tarewell.exchange.planning_config import PlanningConfig
from tarewell.machine.known import MachineConfig
from tarewell.quantities.errors import require
from tarewell.quantities.strength import standard_drink_g
from tarewell.quantities.units import SmallMeasures
from tarewell.weighing.scale import ScaleRating

_NAME = re.compile(r"[A-Za-z0-9_-]+(\.[A-Za-z0-9_-]+)*\.?")

_ORIGIN = re.compile(
    r"(http(?!.*:80$)|https(?!.*:443$))://([a-z0-9_-]+(\.[a-z0-9_-]+)*|\[[0-9a-f:]+\])(:[1-9][0-9]{0,4})?"
)
"""As RFC 6454, 6.2 serialises it."""

_TOKEN = re.compile(r"[!-~]{16,}")
_MAKE_TOKEN = "python3 -c 'import secrets; print(secrets.token_urlsafe(32))'"


@dataclass(frozen=True, slots=True)
class MenuSettings:
    """How amounts are read and strength is shown: `standard_drink` is a country or grams of ethanol.

    Raises:
        QuantityError: a country that is not known, or a size out of range.
    """

    standard_drink: str | float = "UK"
    dash_ml: float = 0.92
    barspoon_ml: float = 2.5

    def __post_init__(self) -> None:
        SmallMeasures(self.dash_ml, self.barspoon_ml)
        require(
            "a standard drink", self.standard_drink_g, 1, 50, "g of ethanol", "most countries use 8 to 14 g"
        )

    @property
    def small(self) -> SmallMeasures:
        """Dash and barspoon."""
        return SmallMeasures(self.dash_ml, self.barspoon_ml)

    @property
    def standard_drink_g(self) -> float:
        """Grams of ethanol in a standard drink."""
        try:
            return float(self.standard_drink)
        except ValueError:
            return standard_drink_g(str(self.standard_drink))


@dataclass(frozen=True, slots=True)
class GuestSettings:
    """The host's limit for each guest: standard drinks within a window; 0: no limit.

    Raises:
        QuantityError: a limit or a window out of range.
    """

    limit_standard_drinks: float = 0.0
    window_h: float = 4.0

    def __post_init__(self) -> None:
        require(
            "a limit for guests",
            self.limit_standard_drinks,
            0,
            100,
            "standard drinks",
            "correct it; 0 sets no limit",
        )
        require("the window for guests", self.window_h, 0.1, 72, "h", "correct it; an evening has 4 to 8 h")


TABLES: dict[str, type[ScaleRating | DosingSettings | MenuSettings | GuestSettings]] = {
    "scale": ScaleRating,
    "dosing": DosingSettings,
    "menu": MenuSettings,
    "guests": GuestSettings,
}
"""The tables of the settings file."""


def default_database() -> Path:
    """The default path of the records: in the user's data directory (XDG Base Directory)."""
    home = os.environ.get("XDG_DATA_HOME", "")
    base = Path(home) if Path(home).is_absolute() else Path.home() / ".local" / "share"
    return base / "tarewell" / "tarewell.db"


class Settings(BaseModel):
    """All settings. Masses in g, times in s unless the name gives another unit."""

    model_config = ConfigDict(extra="forbid", frozen=True, validate_default=True)

    device: str
    baud: Literal[115200, 250000] = 115200
    database: Path = Field(default_factory=default_database)
    name: str = Field("Tarewell", pattern=r"^[^\x00-\x1f\x7f]{1,60}$")
    currency: str | None = Field(None, pattern=r"^[A-Z]{3}$")
    machine_id: str = Field("machine-1", pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)
    host: str = "127.0.0.1"
    hosts: tuple[str, ...] = ()
    allowed_origins: tuple[str, ...] = ()
    port: int = Field(8788, ge=0, le=65535)
    token: SecretStr | None = None
    log_level: Literal["debug", "info", "warning", "error"] = "info"
    scale: ScaleRating = ScaleRating()
    dosing: DosingSettings = DosingSettings()
    menu: MenuSettings = MenuSettings()
    guests: GuestSettings = GuestSettings()

    @property
    def machine(self) -> MachineConfig:
        """The settings of the machine process."""
        return MachineConfig(
            device=self.device,
            baud=self.baud,
            database=str(self.database),
            machine_id=self.machine_id,
            log_level=self.log_level,
            scale=self.scale,
            dosing=self.dosing,
        )

    @property
    def planning(self) -> PlanningConfig:
        """The settings of planning."""
        return PlanningConfig(
            scale_max_g=self.scale.max_g,
            dosing=self.dosing,
            small=self.menu.small,
            standard_drink_g=self.menu.standard_drink_g,
            max_standard_drinks=self.guests.limit_standard_drinks,
            guests_window_h=self.guests.window_h,
            currency=self.currency,
        )

    def for_front(self) -> dict[str, Any]:
        """All settings as JSON values, the token included: for the front process only."""
        token = None if self.token is None else self.token.get_secret_value()
        return self.model_dump(mode="json") | {"token": token}

    @field_validator("device")
    @classmethod
    def _known_form(cls, device: str) -> str:
        if not device:
            raise ValueError("it is empty; give a path such as /dev/ttyUSB0, or tcp://host:port")
        split_tcp(device)
        return device

    @field_validator("hosts", "allowed_origins", mode="before")
    @classmethod
    def _in_words(cls, words: Any) -> Any:
        return words.split() if isinstance(words, str) else words

    @field_validator("hosts")
    @classmethod
    def _names(cls, hosts: tuple[str, ...]) -> tuple[str, ...]:
        for name in hosts:
            if not _NAME.fullmatch(name) and not _is_address(name):
                raise ValueError(
                    f"{name!r} is not a host; give a name or an address, without http:// and without a port"
                )
        return hosts

    @field_validator("allowed_origins")
    @classmethod
    def _origins(cls, origins: tuple[str, ...]) -> tuple[str, ...]:
        for origin in origins:
            if not _ORIGIN.fullmatch(origin):
                raise ValueError(
                    f"{origin!r} is not an origin as browsers send it; give http:// or https:// and a name "
                    "in small letters, with the port unless it is the usual one, and nothing after it"
                )
        return origins

    @field_validator("token")
    @classmethod
    def _hard_to_guess(cls, token: SecretStr | None) -> SecretStr | None:
        if token is not None and not _TOKEN.fullmatch(token.get_secret_value()):
            raise ValueError(
                "it needs 16 or more visible ASCII characters and no blanks; leave it out, or make one with "
                + _MAKE_TOKEN
            )
        return token

    @field_validator("scale")
    @classmethod
    def _in_range(cls, scale: ScaleRating) -> ScaleRating:
        for entry in fields(scale):
            value = getattr(scale, entry.name)
            if not isfinite(value) or value <= 0:
                raise ValueError(f"{entry.name} must be more than 0, got {value:g}")
        return scale

    @field_validator("dosing")
    @classmethod
    def _makes_sense(cls, dosing: DosingSettings, info: ValidationInfo) -> DosingSettings:
        scale = info.data.get("scale", ScaleRating())  # a faulty scale is reported separately
        if faults := faults_of(dosing, scale.max_g):
            raise ValueError("; ".join(faults))
        return dosing

    @model_validator(mode="after")
    def _guarded(self) -> "Settings":
        if self.token is None and not is_loopback(self.host):
            raise ValueError(
                f"host {self.host} can be reached from other computers, so a token is required: "
                f"set host to 127.0.0.1, or `token` to one made with {_MAKE_TOKEN}"
            )
        return self


def is_loopback(host: str) -> bool:
    """Whether only this computer can reach the host."""
    return ip_address(host).is_loopback if _is_address(host) else host == "localhost"


def _is_address(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True
