"""Converts values to JSON and back, by the types that their dataclasses declare.

A dataclass becomes an object of its fields, an enum its value, a tuple or a set an array, a time its ISO 8601
text, bytes base64. Input is checked against the declared type, so a loaded value is one that could have been
made here.
"""

import dataclasses
from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

Load = Callable[[Any], Any]

_TYPE_NAMES: dict[type[Any], str] = {dict: "an object", list: "an array", str: "text"}


def dump(value: Any, *, defaults: bool = True) -> Any:
    """The value as `json.dumps` takes it; without `defaults`, fields that have their default are left out.

    Raises:
        TypeError: a value of an unsupported type.
    """
    match value:
        case None | bool() | float():
            return value
        case Enum():
            return value.value
        case int() | str():
            return value
        case datetime():
            return value.isoformat()
        case bytes():
            return b64encode(value).decode("ascii")
        case dict():
            return {str(dump(key)): dump(item, defaults=defaults) for key, item in value.items()}
        case tuple() | list():
            return [dump(item, defaults=defaults) for item in value]
        case frozenset() | set():
            return sorted(dump(item, defaults=defaults) for item in value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: dump(getattr(value, field.name), defaults=defaults)
            for field in dataclasses.fields(value)
            if defaults or getattr(value, field.name) != _default(field)
        }
    raise TypeError(f"there is no JSON for a {type(value).__name__}")


def load(kind: Any, data: Any) -> Any:
    """The value of type `kind` from its JSON, as `json.loads` returns it.

    Raises:
        ValueError: it does not match; the message names the type and the data.
    """
    return _loader(kind)(data)


def _default(field: "dataclasses.Field[Any]") -> Any:
    if field.default_factory is not dataclasses.MISSING:
        return field.default_factory()
    return field.default


@cache
def _loader(kind: Any) -> Load:
    """The loader of a type, cached."""
    origin, arguments = get_origin(kind), get_args(kind)
    if kind is Any:
        return lambda data: data
    if kind is NoneType:
        return lambda data: None if data is None else _refuse("null", data)
    if origin in (Union, UnionType):
        return _union(arguments)
    if origin is Literal:
        return lambda data: data if data in arguments else _refuse(f"one of {arguments}", data)
    if origin in (tuple, list, set, frozenset, Sequence):
        return _array(origin, arguments)
    if origin in (dict, Mapping):
        key, item = map(_loader, arguments)
        of_key = (lambda text: int(text)) if arguments[0] is int else key
        return lambda data: {of_key(name): item(value) for name, value in _require(dict, data).items()}
    if dataclasses.is_dataclass(kind):
        return _dataclass(kind)
    return _scalar(kind)


def _scalar(kind: Any) -> Load:
    if kind is float:
        return lambda data: float(data) if type(data) in (int, float) else _refuse("a number", data)
    if kind in (bool, int, str):
        return lambda data: data if type(data) is kind else _refuse(kind.__name__, data)
    if kind is datetime:
        return lambda data: datetime.fromisoformat(_require(str, data))
    if kind is bytes:
        return lambda data: b64decode(_require(str, data), validate=True)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return lambda data: kind(data)
    raise TypeError(f"values of type {kind!r} cannot be read from JSON")


def _array(origin: Any, arguments: tuple[Any, ...]) -> Load:
    make = tuple if origin is Sequence else origin
    if origin is tuple and arguments[-1:] != (...,):
        each = [_loader(argument) for argument in arguments]

        def fixed(data: Any) -> Any:
            if len(_require(list, data)) != len(each):
                raise ValueError(f"expected {len(each)} values, got {len(data)}")
            return tuple(read(item) for read, item in zip(each, data, strict=True))

        return fixed
    item = _loader(arguments[0])
    return lambda data: make(item(value) for value in _require(list, data))


def _dataclass(kind: Any) -> Load:
    hints = get_type_hints(kind)
    fields = {field.name: field for field in dataclasses.fields(kind) if field.init}
    required = {
        name
        for name, field in fields.items()
        if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    }
    readers: dict[str, Load] = {}

    def read(data: Any) -> Any:
        given = _require(dict, data)
        if not required <= given.keys() <= fields.keys():
            _refuse(f"the fields of {kind.__name__} ({', '.join(fields)})", sorted(given))
        if not readers:  # on first use, so that a type may refer to itself
            readers.update({name: _loader(hints[name]) for name in fields})
        return kind(**{name: readers[name](value) for name, value in given.items()})

    return read


def _union(arguments: tuple[Any, ...]) -> Load:
    """A loader that tries the types in order: dataclasses in a union must differ in their fields."""
    readers = [(argument, _loader(argument)) for argument in arguments]

    def read(data: Any) -> Any:
        if data is None and NoneType in arguments:
            return None
        faults = []
        for argument, reader in readers:
            if argument is not NoneType:
                try:
                    return reader(data)
                except ValueError as error:
                    faults.append(str(error))
        raise ValueError("; ".join(faults))

    return read


def _require(kind: type[Any], data: Any) -> Any:
    if not isinstance(data, kind):
        _refuse(_TYPE_NAMES.get(kind, kind.__name__), data)
    return data


def _refuse(expected: str, data: Any) -> Any:
    raise ValueError(f"expected {expected}, got {data!r}")
