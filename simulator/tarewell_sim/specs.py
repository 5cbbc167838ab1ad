"""The specification of each part of the machine in a scenario; every key name ends in its unit."""

from difflib import get_close_matches
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from .liquids import LiquidModel, ethanol, sucrose, water

Above = Annotated[float, Field(gt=0)]
AtLeast = Annotated[float, Field(ge=0)]
Share = Annotated[float, Field(ge=0, le=1)]
Counts = Annotated[int, Field(ge=-(2**23), le=2**23 - 1)]


class Spec(BaseModel):
    """Refuses an unknown key and names the nearest known one.

    To read an attribute of it is slow; what each step needs is copied once.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    @model_validator(mode="before")
    @classmethod
    def _known_keys(cls, data: Any) -> Any:
        known = list(cls.model_fields)
        for key in data if isinstance(data, dict) else ():
            if key not in known:
                near = get_close_matches(key, known, 1, 0.5)
                cure = f"did you mean '{near[0]}'?" if near else f"the keys are {', '.join(known)}"
                raise PydanticCustomError(
                    "unknown_key", "unknown key '{key}'; {cure}", {"key": key, "cure": cure}
                )
        return data


class WaterSpec(Spec):
    """Water, 0 to 40 °C; the viscosity is that of 20 °C."""

    kind: Literal["water"]
    temperature_c: float = Field(default=20.0, ge=0, le=40)

    def liquid(self) -> LiquidModel:
        """Density after Tanaka, viscosity of 20 °C."""
        density = water.density_g_per_ml(self.temperature_c)
        return LiquidModel(density, water.VISCOSITY_20_MPA_S, water.SURFACE_TENSION_20_N_PER_M)


class EthanolWaterSpec(Spec):
    """A spirit by its strength at 20 °C; the viscosity is that of 20 °C."""

    kind: Literal["ethanol-water"]
    strength_percent_vol: float = Field(ge=0, le=100)
    temperature_c: float = Field(default=20.0, ge=-20, le=40)

    def liquid(self) -> LiquidModel:
        """Density after OIML R 22, viscosity after Bingham and Jackson."""
        fraction = ethanol.mass_fraction(self.strength_percent_vol)
        return LiquidModel(
            ethanol.density_g_per_ml(fraction, self.temperature_c),
            ethanol.viscosity_20_mpa_s(fraction),
            ethanol.SURFACE_TENSION_N_PER_M,
        )


class SucroseSpec(Spec):
    """A syrup, cordial or juice by its degrees Brix."""

    kind: Literal["sucrose"]
    brix: float = Field(ge=0, le=80)
    temperature_c: float = Field(default=20.0, ge=0, le=60)

    def liquid(self) -> LiquidModel:
        """Density after ICUMSA, viscosity after Génotelle."""
        return LiquidModel(
            sucrose.density_g_per_ml(self.brix, self.temperature_c),
            sucrose.viscosity_mpa_s(self.brix, self.temperature_c),
            sucrose.SURFACE_TENSION_N_PER_M,
        )


class GivenSpec(Spec):
    """A liquid by its figures."""

    kind: Literal["given"]
    density_g_per_ml: Above
    viscosity_mpa_s: Above
    surface_tension_n_per_m: Above = water.SURFACE_TENSION_20_N_PER_M

    def liquid(self) -> LiquidModel:
        """As given."""
        return LiquidModel(self.density_g_per_ml, self.viscosity_mpa_s, self.surface_tension_n_per_m)


LiquidSpec = Annotated[
    WaterSpec | EthanolWaterSpec | SucroseSpec | GivenSpec,
    Field(discriminator="kind"),
]


class PumpSpec(Spec):
    """A peristaltic pump and its motor; a revolution moves `ml_per_rev` of thin liquid through a new tube."""

    rated_rpm: Above
    rated_v: Above = 12.0
    ml_per_rev: Above
    rollers: int = Field(default=3, ge=2, le=12)
    ripple: float = Field(default=0.5, ge=0, le=1.5)
    """Depth of the flow's dip each time a roller leaves the tube, as a share of the mean flow."""
    resistance_ohm: Above = 4.0
    inductance_mh: Above = 2.0
    running_a: Above = 0.6
    """Mean current that carries the rollers' load, at any speed."""
    breakaway_a: Above = 0.8
    """Mean current that starts the motor from rest."""
    run_up_s: Above = 0.06
    """Time constant at full drive; longer where current flows only part of the time."""
    coast_s: Above = 0.08
    gear_ratio: Above = 20.0
    shake_g: AtLeast = 0.0
    """Amplitude of the force on the platform at the roller frequency, in grams-force."""
    motor_shake_g: AtLeast = 0.0
    """Amplitude at the motor's frequency and rated speed, in grams-force; goes with speed squared."""

    @model_validator(mode="after")
    def _turns_at_rated_voltage(self) -> "PumpSpec":
        if self.rated_emf_v <= 0:
            raise ValueError("running_a x resistance_ohm must be below rated_v, or the motor never turns")
        return self

    @property
    def rated_emf_v(self) -> float:
        """The motor's own voltage at rated speed."""
        return self.rated_v - self.running_a * self.resistance_ohm


class TubeSpec(Spec):
    """The tube from bottle to nozzle, and its ageing."""

    bore_mm: Above = 4.0
    suction_length_m: Above = 0.5
    length_m: Above = 1.2
    lift_m: float = 0.3
    """Height of the pump above the liquid in the bottle."""
    recovery_kpa: Above = 50.0
    """Suction at which the tube no longer springs back open behind the roller."""
    worn_share: float = Field(default=0.0, ge=0, lt=1)
    """Share of the new tube's flow lost by ageing."""
    primed: bool = True
    nozzle_bore_mm: Above = 4.0
    max_drips: int = Field(default=4, ge=0)
    drip_spacing_s: Above = 0.7


class ChannelSpec(Spec):
    """One bottle with its pump and tube."""

    number: int = Field(ge=1, le=8)
    name: str
    liquid: LiquidSpec
    bottle_g: AtLeast = 700.0
    sputter_g: AtLeast = 8.0
    """The rest in the bottle when the tube begins to draw air."""
    pump: PumpSpec
    tube: TubeSpec = TubeSpec()


class BoardSpec(Spec):
    """The microcontroller board: its identity, abilities and limits."""

    id: str = Field(default="sim-01", pattern=r"^[A-Za-z0-9._-]{1,16}$")
    firmware: str = Field(default="0.2.0", pattern=r"^[A-Za-z0-9._-]{1,16}$")
    protocol: int = Field(default=2, ge=1, le=255)
    channels: int = Field(default=8, ge=1, le=8)
    baud: Literal[115200, 250000] = 115200
    abilities: str = Field(default="rvk", pattern=r"^r?v?k?i?p?$")
    display: str | None = Field(default=None, pattern=r"^[1-9][0-9]?x[1-4]$")
    longest_lease_ms: int = Field(default=470, ge=1, le=480)
    longest_run_ms: int = Field(default=120_000, ge=1, le=999_999)
    lowest_counts: Counts = -400_000
    highest_counts: Counts = 2_400_000
    filter_delay_ms: int | None = Field(default=None, ge=0, le=999)
    """What it tells of the converter's delay; two conversions where nothing is given, 0 for unknown."""
    build: int = Field(default=0, ge=0, le=0xFFFF)
    """What the self-test tells of the settings it was built with."""
    flash_crc: int = Field(default=0, ge=0, le=0xFFFF)
    self_test: Literal["ok", "bad", "untested"] = "ok"
    boot_ms: int = Field(default=300, ge=0)
    clock_start_ms: int = Field(default=0, ge=0, lt=2**32)
    clock_error_ppm: float = Field(default=0.0, ge=-20_000, le=20_000)


class AdcSpec(Spec):
    """The load-cell converter and its own oscillator."""

    rate_hz: Literal[10, 80] = 80
    oscillator_error_percent: float = Field(default=0.0, ge=-20, le=20)
    noise_counts: AtLeast = 38.7


class CellSpec(Spec):
    """The load cell: its span, zero, and how both wander."""

    counts_per_g: float = 2147.48
    """Nominal; negative for a cell whose counts fall with load."""
    span_error_percent: float = 0.0
    zero_counts: int = 0
    creep_share: float = Field(default=0.0005, ge=-0.01, le=0.01)
    creep_time_s: Above = 400.0
    zero_g_per_k: float = 0.05
    span_ppm_per_k: float = 100.0
    wander_g_per_sqrt_h: AtLeast = 0.2
    safe_load_g: Above = 1500.0
    """Maximum safe load; an excess leaves a permanent shift of the zero."""
    overload_shift_share: Share = 0.05


class PlatformSpec(Spec):
    """The plate on the cell, a mass on a spring."""

    natural_hz: Above = 18.0
    """With nothing on it."""
    damping: float = Field(default=0.06, gt=0, lt=1)
    """Share of critical damping with nothing on it."""
    moving_g: Above = 400.0


class ScaleSpec(Spec):
    """Platform, cell and converter."""

    adc: AdcSpec = AdcSpec()
    cell: CellSpec = CellSpec()
    platform: PlatformSpec = PlatformSpec()


class GlassSpec(Spec):
    """The default glass of `place_glass`."""

    standing: bool = False
    mass_g: Above = 250.0
    inner_diameter_mm: Above = 65.0
    height_mm: Above = 120.0


class RoomSpec(Spec):
    """The surroundings of the machine."""

    nozzle_height_mm: Above = 200.0
    """Of the tube bundle above the platform."""
    supply_v: Above = 14.5
    bridge_drop_v: AtLeast = 2.5
    """Of both switches that conduct."""
    diode_v: AtLeast = 1.0
    decay: Literal["fast", "slow"] = "fast"
    """Where the motor's current goes in the pauses: into the supply, or round the motor."""
    pwm_hz: Above = 244.0
    """At which the board pulses the bridges."""
    temperature_c: float = Field(default=21.0, ge=-10, le=40)
    swing_k: AtLeast = 0.0
    swing_period_h: Above = 1.0
    footfalls_per_min: AtLeast = 0.0
    footfall_n_s: AtLeast = 0.00003


class DisturbanceSpec(Spec):
    """A command of `bench.Bench` at a given time; `do` is its name, `args` its arguments."""

    at_s: AtLeast
    do: str
    args: dict[str, bool | int | float | str] = Field(default_factory=dict)


class Scenario(Spec):
    """The full configuration of a simulated machine."""

    title: str = ""
    board: BoardSpec = BoardSpec()
    scale: ScaleSpec = ScaleSpec()
    glass: GlassSpec = GlassSpec()
    room: RoomSpec = RoomSpec()
    channels: list[ChannelSpec] = Field(min_length=1)
    disturbances: list[DisturbanceSpec] = Field(default_factory=list)

    @model_validator(mode="after")
    def _channels_once(self) -> "Scenario":
        numbers = [channel.number for channel in self.channels]
        for number in numbers:
            if numbers.count(number) > 1:
                raise ValueError(f"channel {number} is described twice; give each channel its own number")
            if number > self.board.channels:
                raise ValueError(
                    f"channel {number} is described but the board has {self.board.channels}; "
                    "raise board.channels or renumber"
                )
        return self
