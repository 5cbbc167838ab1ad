"""From the text of a set-up file to values, or to all of its faults, each with its line."""

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import ValidationError

from tarewell.menu.checks import Fault, no_such
from tarewell.menu.values import Glass, Liquid
from tarewell.quantities.density import of_water
from tarewell.quantities.units import SmallMeasures
from tarewell.records.values import Channel

from .document import SetupDocument
from .forms import Form, FormError, message_of, pointer_to
from .glass_forms import GlassForm
from .lines import lines_of, unreadable
from .liquid_forms import LiquidForm
from .recipe_forms import RecipeForm
from .setup import Setup
from .stock_forms import ChannelForm, MountedBottleForm

_FormT = TypeVar("_FormT", bound=Form)
_Value = TypeVar("_Value")

_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


@dataclass(frozen=True, slots=True)
class FileFault:
    """A fault in a set-up file: `pointer` is the path (RFC 6901), `line` counts from 1.

    `line` None: the file causes it in a part that is in the records and not in the file.
    """

    line: int | None
    pointer: str
    message: str


MAX_LISTED = 500
"""Nobody reads more faults at once; a file with a systematic one has thousands."""


class SetupFaultsError(ValueError):
    """A set-up file that cannot be imported; `faults` has the first `MAX_LISTED` of its `count`, by line.

    `count` is that of `faults` where it is not given.
    """

    def __init__(self, faults: Sequence[FileFault], count: int | None = None) -> None:
        self.count = len(faults) if count is None else count
        many = f"{self.count} faults" if self.count > 1 else "a fault"
        listed = f" ({MAX_LISTED} are listed)" if self.count > MAX_LISTED else ""
        super().__init__(f"the set-up has {many}, see the lines{listed}; correct and import it again")
        by_line = sorted(faults, key=lambda fault: (fault.line or 0, fault.pointer))
        self.faults = tuple(by_line[:MAX_LISTED])


def read_setup(text: str, known: Setup, small: SmallMeasures) -> Setup:
    """Read a file; its names may refer to the file itself or to the `known` set-up.

    `small` gives the sizes of dash and barspoon.

    Raises:
        SetupFaultsError: anything is wrong.
    """
    document = _parsed(text)
    reader = _Reader(document, known, small)
    setup = reader.read()
    faults = [
        *reader.faults,
        *reader.unknown_names(),
        *reader.not_yet_reported(_faults_together(reader.sketch(setup), known)),
    ]
    if faults:
        raise SetupFaultsError(_placed(faults, text))
    return setup


def _parsed(text: str) -> dict[str, Any]:
    text = text.removeprefix("\ufeff")
    if (found := unreadable(text)) is not None:
        raise SetupFaultsError([FileFault(found[0], "", found[1])])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = _PLACE.search(str(error))
        line = int(place[1]) if place and place[1] else max(text.rstrip("\n").count("\n") + 1, 1)
        reason = _PLACE.sub("", str(error))
        raise SetupFaultsError(
            [FileFault(line, "", f"this is not valid TOML: {reason}; correct it there")]
        ) from error


class _Reader:
    """Reads a document part by part, so that a fault in one part hides none in another."""

    def __init__(self, document: dict[str, Any], known: Setup, small: SmallMeasures) -> None:
        self._document = document
        self._known = known
        self._small = small
        self.faults: list[Fault] = []
        self._bad = self._malformed()

    def _malformed(self) -> set[tuple[str | int, ...]]:
        """Collect the faults of form; returns the places of the parts at fault."""
        try:
            SetupDocument.model_validate(self._document)
        except ValidationError as error:
            entries = error.errors(include_url=False)
            self.faults = [Fault(pointer_to(entry["loc"]), message_of(entry)) for entry in entries]
            return {entry["loc"][:2] for entry in entries}
        return set()

    def read(self) -> Setup:
        """Every part without faults of its own."""
        liquids = self._each("liquids", LiquidForm, lambda form, key: form.liquid(key))
        glasses = self._each("glasses", GlassForm, lambda form, key: form.glass(key))
        recipes = self._each("recipes", RecipeForm, lambda form, key: form.recipe(key, self._small))
        channels = self._each("channels", ChannelForm, lambda form, key: form.channel(int(key)))
        liquid_of = self._known.liquids | liquids
        bottles = self._each(
            "bottles",
            MountedBottleForm,
            lambda form, key: form.bottle(
                key, liquid_of.get(form.liquid_id, _unknown(form.liquid_id)), form.channel
            ),
        )
        return Setup(
            liquids, glasses, recipes, {int(key): channel for key, channel in channels.items()}, bottles
        )

    def sketch(self, setup: Setup) -> Setup:
        """The set-up with placeholders for parts at fault, so that references to them are no faults as
        well."""
        liquids = {key: _unknown(key) for key in self._keys("liquids")}
        glasses = {key: Glass(key, key, 300.0, 0.0) for key in self._keys("glasses")}
        channels = {
            int(key): Channel(int(key), None, key) for key in self._keys("channels") if key.isdecimal()
        }
        return setup.over(Setup(liquids, glasses, {}, channels, {}))

    def not_yet_reported(self, faults: Sequence[Fault]) -> Iterator[Fault]:
        """Those of `faults` outside the parts with faults of their own."""
        bad = {pointer_to(part) for part in self._bad}
        for fault in faults:
            steps = fault.pointer.split("/")
            if not any("/".join(steps[:count]) in bad for count in (1, 2, 3)):  # all, a table, a part of it
                yield fault

    def unknown_names(self) -> Iterator[Fault]:
        """Unknown names in parts at fault; sound parts are checked together."""
        there = {
            "liquid_id": {*self._keys("liquids"), *self._known.liquids},
            "glass_id": {*self._keys("glasses"), *self._known.glasses},
        }
        reported = {fault.pointer for fault in self.faults}
        for table, key in (part for part in self._bad if len(part) == 2):
            for path, name in _names(self._document[str(table)][key], (table, key)):
                if name not in there[str(path[-1])] and (pointer := pointer_to(path)) not in reported:
                    yield Fault(pointer, no_such(str(path[-1]).removesuffix("_id"), name))

    def _keys(self, table: str) -> list[str]:
        entries = self._document.get(table, {})
        return list(entries) if isinstance(entries, dict) else []

    def _each(
        self, table: str, kind: type[_FormT], value_of: Callable[[_FormT, str], _Value]
    ) -> dict[str, _Value]:
        values: dict[str, _Value] = {}
        for key in self._keys(table):
            if (table, key) in self._bad:
                continue
            try:
                values[key] = value_of(kind.model_validate(self._document[table][key]), key)
            except FormError as error:
                self._bad.add((table, key))
                self.faults += [
                    Fault(pointer_to((table, key)) + fault.pointer, fault.message) for fault in error.faults
                ]
        return values


def _names(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Every liquid and glass named within a value, with its place."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in ("liquid_id", "glass_id") and isinstance(inner, str):
                yield (*path, key), inner
            else:
                yield from _names(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _names(inner, (*path, index))


def _unknown(liquid_id: str) -> Liquid:
    return Liquid(liquid_id, liquid_id, of_water())


def _faults_together(setup: Setup, known: Setup) -> list[Fault]:
    """The faults of the file combined with the known set-up, without those that were there before."""
    before = set(known.faults())
    return [fault for fault in setup.over(known).faults() if fault not in before]


def _placed(faults: Sequence[Fault], text: str) -> list[FileFault]:
    lines = {pointer_to(path): line for path, line in lines_of(text).items()}
    return [FileFault(_line(fault.pointer, lines), fault.pointer, fault.message) for fault in faults]


def _line(pointer: str, lines: Mapping[str, int]) -> int | None:
    """The line of a place, or of the nearest enclosing value in the same part."""
    part = "/".join(pointer.split("/")[:3])
    if part.count("/") == 2 and part not in lines:
        return None
    while pointer:
        if pointer in lines:
            return lines[pointer]
        pointer = pointer.rpartition("/")[0]
    return 1
