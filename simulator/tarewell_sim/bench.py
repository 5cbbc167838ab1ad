"""The back door: actions of a person at the machine, and faults, outside the protocol."""

from difflib import get_close_matches
from inspect import Parameter, signature
from typing import Any, get_type_hints

from pydantic import TypeAdapter, ValidationError

from tarewell_protocol.messages import ResetCause

from .feed import FeedLine
from .glass import PlacedGlass
from .mechanism import Mechanism
from .tube import G_M_PER_S2
from .wire import WireFaults


class BenchError(ValueError):
    """An unknown back-door command, or one that makes no sense now."""


class Bench:
    """Each public method is a command, which takes effect at the machine's present time."""

    def __init__(self, machine: Mechanism) -> None:
        self._machine = machine
        self._pressed = False

    def call(self, name: str, args: dict[str, Any]) -> None:
        """Carry out a command by name, with its arguments checked.

        Raises:
            BenchError: an unknown name, or invalid arguments.
        """
        checked = check_command(name, args, type(self))
        getattr(self, name)(**checked)

    # Hands

    def place_glass(
        self,
        mass_g: float | None = None,
        inner_diameter_mm: float | None = None,
        height_mm: float | None = None,
        contents_g: float = 0.0,
    ) -> None:
        """Put a glass under the nozzle, by default the scenario's; it replaces any other."""
        plant, spec = self._machine.plant, self._machine.scenario.glass
        for old in (plant.glass, plant.shelf):
            plant.away_g += old.contents_g if old else 0.0
        plant.shelf = None
        plant.glass = PlacedGlass(
            spec.mass_g if mass_g is None else mass_g,
            spec.inner_diameter_mm if inner_diameter_mm is None else inner_diameter_mm,
            spec.height_mm if height_mm is None else height_mm,
            contents_g,
        )
        plant.brought_g += contents_g

    def lift_glass(self) -> None:
        """Take the glass off the platform and keep it in hand."""
        plant = self._machine.plant
        if plant.glass is None:
            raise BenchError("there is no glass on the platform; place one first")
        plant.shelf, plant.glass = plant.glass, None

    def put_back(self) -> None:
        """Put the lifted glass back, with its contents."""
        plant = self._machine.plant
        if plant.shelf is None:
            raise BenchError("no glass was lifted; lift or place one first")
        plant.shelf, plant.glass = None, plant.shelf

    def swap_bottle(self, channel: int, mass_g: float | None = None) -> None:
        """Replace the bottle by one that holds `mass_g`, by default as much as the scenario's."""
        line = self._line(channel)
        new_g = line.spec.bottle_g if mass_g is None else mass_g
        self._machine.plant.away_g += line.bottle_g
        self._machine.plant.brought_g += new_g
        line.bottle_g = new_g

    def bump(self, impulse_n_s: float) -> None:
        """Knock on the platform, downwards if positive."""
        plant = self._machine.plant
        plant.platform.knock(impulse_n_s, plant.load_g)

    def hand(self, force_n: float, seconds: float) -> None:
        """Press a hand on the platform for a while."""
        machine, force_g = self._machine, 1000 * force_n / G_M_PER_S2

        def press(by_g: float) -> None:
            machine.plant.hand_g += by_g

        press(force_g)
        machine.at(machine.now_s + seconds, lambda: press(-force_g))

    def press(self, hold_s: float = 0.1) -> None:
        """Press the knob's button and release it after `hold_s`."""
        if self._pressed:
            raise BenchError("the button is held down; press it again once it is released")
        self._push(True)
        self._machine.at(self._machine.now_s + hold_s, lambda: self._push(False))

    def _push(self, down: bool) -> None:
        self._pressed = down
        self._machine.press(down)

    def turn(self, steps: int) -> None:
        """Turn the knob, clockwise if positive."""
        self._machine.turn(steps)

    # Faults of pumps, bottles and glass

    def stuck_relay(self, channel: int, on: bool) -> None:
        """Weld the output of a channel: its pump runs forward at full supply, whatever the board does."""
        self._line(channel).stick(on)

    def dry(self, channel: int) -> None:
        """Let the bottle run low, down to the sputtering rest; the tube's liquid still comes first."""
        line = self._line(channel)
        gone_g = max(0.0, line.bottle_g - line.spec.sputter_g)
        line.bottle_g -= gone_g
        self._machine.plant.away_g += gone_g

    def kink(self, channel: int, factor: float) -> None:
        """Squeeze the tube: `factor` of the flow remains, 1 is free, 0 is shut."""
        if not 0 <= factor <= 1:
            raise BenchError(f"a kink leaves 0 to 1 of the flow, got {factor}")
        self._line(channel).kink = factor

    def leak(self, g_per_s: float) -> None:
        """Let liquid run out of the glass and off the platform; 0 repairs it."""
        self._machine.plant.leak_g_per_s = g_per_s

    # Faults of scale and converter

    def freeze_reading(self, on: bool) -> None:
        """Let the converter repeat its last code for ever."""
        self._machine.frozen_counts = self._machine.last_counts if on else None

    def drift(self, g_per_min: float) -> None:
        """Let the scale's zero drift; 0 stops it where it is."""
        self._machine.plant.cell.drift_g_per_s = g_per_min / 60

    def stop_conversions(self, on: bool) -> None:
        """Stop the converter's output."""
        self._machine.converting = not on

    # Faults of board and wire

    def interlock(self, opened: bool) -> None:
        """Open the interlock's switch, or close it; a board with the ability `i` sees it."""
        self._machine.interlock(opened)

    def pump_supply(self, on: bool) -> None:
        """Switch the pump supply off, as the emergency switch does, or on; the ability `p` senses it."""
        self._machine.supply(not on)

    def restart_board(self, cause: ResetCause = ResetCause.POWER) -> None:
        """Reset the board."""
        self._machine.restart_board(cause)

    def silence(self, on: bool) -> None:
        """Silence the board, which still hears and acts."""
        self._machine.silent = on

    def unplug(self) -> None:
        """Unplug the data cable; the board keeps its supply and runs on."""
        self._machine.to_board.plug(False)
        self._machine.to_host.plug(False)

    def replug(self) -> None:
        """Plug the data cable in again."""
        self._machine.to_board.plug(True)
        self._machine.to_host.plug(True)

    def wire(
        self,
        byte_error_rate: float = 0.0,
        lose: float = 0.0,
        duplicate: float = 0.0,
        delay_s: float = 0.0,
    ) -> None:
        """Corrupt the wire in both directions: chances per byte and per line; omitted ones are 0."""
        faults = WireFaults(byte_error_rate, lose, duplicate, delay_s)
        self._machine.to_board.faults = self._machine.to_host.faults = faults

    def _line(self, channel: int) -> FeedLine:
        lines = self._machine.plant.lines
        if channel not in lines:
            raise BenchError(f"no bottle on channel {channel}; this machine has {', '.join(map(str, lines))}")
        return lines[channel]


def commands(bench: type[Bench]) -> tuple[str, ...]:
    """Names of a back door's commands."""
    names = (name for kind in reversed(bench.__mro__[:-1]) for name in vars(kind))
    return tuple(name for name in names if not name.startswith("_") and name != "call")


COMMANDS = commands(Bench)


def check_command(name: str, args: dict[str, Any], bench: type[Bench] = Bench) -> dict[str, Any]:
    """The arguments of a command, each converted to its type.

    Raises:
        BenchError: an unknown command or argument, one missing, or a value of another type.
    """
    known = commands(bench)
    if name not in known:
        raise BenchError(f"unknown command '{name}'; {_nearest(name, known)}")
    method = getattr(bench, name)
    hints, takes = get_type_hints(method), list(signature(method).parameters.values())[1:]
    names = tuple(parameter.name for parameter in takes)
    checked = {}
    for key, value in args.items():
        if key not in names:
            raise BenchError(f"{name} does not take '{key}'; {_nearest(key, names)}")
        try:
            checked[key] = TypeAdapter(hints[key]).validate_python(value)
        except ValidationError as error:
            raise BenchError(f"{name}: {key}: {error.errors()[0]['msg']}, got {value!r}") from error
    missing = [p.name for p in takes if p.default is Parameter.empty and p.name not in args]
    if missing:
        raise BenchError(f"{name} needs {', '.join(missing)}")
    return checked


def _nearest(word: str, known: tuple[str, ...]) -> str:
    near = get_close_matches(word, known, 1, 0.5)
    return f"did you mean '{near[0]}'?" if near else f"choose one of {', '.join(known) or 'none'}"
