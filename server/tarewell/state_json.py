"""Converts objects with everything that they hold to JSON and back, as they are.

`typed_json` is for values that people and other programs read, by declared types. This is for the state of a
running object: attributes that no declaration describes, and objects that several others share. What the
objects are is kept by the names of their classes, so only the program version that wrote it is sure to read
it. Nothing but this project's classes and a few built-in ones is ever made, and none of their code runs
except `__setstate__`.
"""

import builtins
import math
import sys
from array import array
from base64 import b64decode, b64encode
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from enum import Enum
from importlib import import_module
from typing import Any

PACKAGES = ("tarewell", "tarewell_protocol")

MANY_FLOATS = 16
"""A list of at least so many numbers is written as their bytes, which is faster and shorter."""

_SEQUENCES: dict[str, Callable[[Any], Any]] = {
    "tuple": tuple,
    "set": set,
    "frozenset": frozenset,
}


class StateError(ValueError):
    """An object that cannot be converted, or text that is no state of this program."""


def dump_state(root: object) -> Any:
    """The object as `json.dumps` takes it: `[[node, ...], root]`. An object that several others share is one
    node, and so are equal values that never change.

    Raises:
        StateError: it holds something that is neither a plain value nor an object of this project.
    """
    writer = _StateWriter()
    root_value = writer.value(root)
    return [writer.nodes, root_value]


def load_state(data: Any) -> Any:
    """The object that `dump_state` was given, or its like.

    Raises:
        StateError: it is no state of this program.
    """
    try:
        nodes, root = data
        return _StateReader(nodes).value(root)
    except StateError:
        raise
    except Exception as error:
        raise StateError(
            f"the state cannot be read ({error}); use the program version that wrote it"
        ) from error


class _StateWriter:
    """A plain value stands for itself, anything else is `{"#": number of its node}`."""

    def __init__(self) -> None:
        self.nodes: list[Any] = []
        self._numbers: dict[int, int] = {}
        self._equal: dict[str, int] = {}
        self._held: list[object] = []
        """Keeps what was written alive, so that no other object gets its identity."""

    def value(self, value: object) -> Any:
        match value:
            case None | bool():
                return value
            case Enum():
                return {"enum": f"{_name(type(value))}.{value.name}"}
            case int() | str():
                return value
            case float():
                return value if math.isfinite(value) else {"float": repr(value)}
            case datetime():
                return {"time": value.isoformat()}
            case bytes():
                return {"bytes": b64encode(value).decode("ascii")}
        number = self._numbers.get(id(value))
        if number is None:
            self._held.append(value)
            number = self._unchanging(value) if _never_changes(value) else self._object(value)
        return {"#": number}

    def _object(self, value: object) -> int:
        number = self._numbers[id(value)] = len(self.nodes)
        self.nodes.append(None)
        self.nodes[number] = self._node(value)
        return number

    def _unchanging(self, value: object) -> int:
        node = self._node(value)
        text = repr(node)
        number = self._equal.get(text)
        if number is None:
            number = self._equal[text] = len(self.nodes)
            self.nodes.append(node)
        self._numbers[id(value)] = number
        return number

    def _node(self, value: object) -> Any:
        match value:
            case list() if len(value) >= MANY_FLOATS and set(map(type, value)) == {float}:
                return {"floats": b64encode(_little_endian(array("d", value))).decode("ascii")}
            case list():
                return {"list": [*map(self.value, value)]}
            case dict():
                return {"dict": [[self.value(key), self.value(item)] for key, item in value.items()]}
            case deque():
                return {"deque": [*map(self.value, value)], "maxlen": value.maxlen}
            case set() | frozenset():  # in an order that does not change from run to run
                return {type(value).__name__: [*map(self.value, sorted(value, key=repr))]}
            case tuple():
                return {"tuple": [*map(self.value, value)]}
            case BaseException():
                held = [self.value(value.args), self.value(vars(value))]
                return {"error": _name(type(value)), "holds": held}
        if is_dataclass(value):
            held = [self.value(getattr(value, field.name)) for field in fields(value)]
            return {"value": _name(type(value)), "holds": held}
        state = value.__getstate__()
        return {"object": _name(type(value)), "holds": self.value(state)}


def _never_changes(value: object) -> bool:
    if isinstance(value, tuple | frozenset):
        return True
    parameters = getattr(value, "__dataclass_params__", None)
    return parameters is not None and parameters.frozen


def _name(kind: type) -> str:
    if not _allowed(kind.__module__, kind):
        raise StateError(f"there is no state of a {kind.__module__}.{kind.__qualname__}")
    return f"{kind.__module__}:{kind.__qualname__}"


def _allowed(module: str, kind: Any) -> bool:
    ours = module.split(".", 1)[0] in PACKAGES and isinstance(kind, type)
    return ours or (module == "builtins" and isinstance(kind, type) and issubclass(kind, Exception))


class _StateReader:
    def __init__(self, nodes: list[Any]) -> None:
        self._nodes = nodes
        self._made: dict[int, Any] = {}

    def value(self, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        ((kind, content),) = data.items()
        match kind:
            case "#":
                return self._made[content] if content in self._made else self._make(content)
            case "enum":
                name, member = content.rsplit(".", 1)
                return _kind(name)[member]  # type: ignore[index]
            case "float":
                return float(content)
            case "time":
                return datetime.fromisoformat(content)
            case "bytes":
                return b64decode(content)
        raise StateError(f"there is no value of kind {kind!r} in a state")

    def _make(self, number: int) -> Any:
        match self._nodes[number]:
            case {"floats": text}:
                found: Any = _from_little_endian(b64decode(text)).tolist()
            case {"list": items}:
                found = self._made[number] = []
                found.extend(map(self.value, items))
            case {"dict": pairs}:
                found = self._made[number] = {}
                found.update((self.value(key), self.value(item)) for key, item in pairs)
            case {"deque": items, "maxlen": maxlen}:
                found = self._made[number] = deque(maxlen=maxlen)
                found.extend(map(self.value, items))
            case {"error": name, "holds": [args, held]}:
                found = self._made[number] = _bare(_kind(name))
                found.args = self.value(args)
                vars(found).update(self.value(held))
            case {"value": name, "holds": held}:
                kind = _kind(name)
                found = self._made[number] = _bare(kind)
                for field, item in zip(fields(kind), held, strict=True):
                    object.__setattr__(found, field.name, self.value(item))
            case {"object": name, "holds": held}:
                found = self._made[number] = _bare(_kind(name))
                _fill(found, self.value(held))
            case node:
                ((sequence, items),) = node.items()
                found = _SEQUENCES[sequence](map(self.value, items))
        self._made[number] = found
        return found


def _kind(name: str) -> type:
    """The class of this name, in a module that is imported already or belongs to this project."""
    module, qualname = name.split(":")
    package, *rest = module.split(".")
    if package not in (*PACKAGES, "builtins") or "__main__" in rest:  # to import a program is to run it
        raise StateError(f"no object of {module} is made from a state")
    found: Any = builtins if module == "builtins" else sys.modules.get(module) or import_module(module)
    for part in qualname.split("."):
        found = getattr(found, part)
    if not _allowed(module, found):
        raise StateError(f"no {name} is made from a state")
    kind: type = found
    return kind


def _bare(kind: Any) -> Any:
    """An object whose `__init__` has not run."""
    return kind.__new__(kind)


def _fill(made: Any, held: Any) -> None:
    """Give a bare object its attributes, as `pickle` does."""
    if hasattr(made, "__setstate__"):
        made.__setstate__(held)
        return
    for attributes in held if isinstance(held, tuple) else (held,):
        if isinstance(attributes, Mapping):
            for name, value in attributes.items():
                object.__setattr__(made, name, value)


def _little_endian(values: "array[float]") -> bytes:
    if sys.byteorder == "big":
        values.byteswap()
    return values.tobytes()


def _from_little_endian(data: bytes) -> "array[float]":
    values = array("d", data)
    if sys.byteorder == "big":
        values.byteswap()
    return values
