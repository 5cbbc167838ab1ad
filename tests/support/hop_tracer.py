"""Watches the running program pass one thing on, from module to module, in whatever form it has by then.

The thing is told by a pattern that is looked for in the `repr` of what goes into a call and of what comes
back. From its calls across modules the tracer knows at which time which object or function had it; the hops
are those calls by which it got from the start to the end:

* a call hands it on if it takes it, and whoever was called hands it on in turn, at once or later;
* so does a method that gives it back, to a caller that hands it on in turn;
* a call that only fetches what the same object was handed in another call belongs to that hop;
* a plain function that only gives it back in another form, the thing's own methods, constructors, and calls
  that look at it, count it or remember it are no hops. Neither is a private function that a library, the
  event loop or a thread calls: the object goes on with what it has.
"""

import re
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from types import CodeType, FrameType
from typing import Any

PROGRAM = ("tarewell.", "tarewell_protocol.")
"""Modules whose calls count. What lies between two of them, such as a library, is passed over."""

_INNER = frozenset({"<listcomp>", "<dictcomp>", "<setcomp>", "<genexpr>", "<lambda>"})


@dataclass(eq=False, slots=True)
class Call:
    """One call across modules while the tracer watched. A place is an object or, for a plain function, its
    module."""

    code: CodeType
    module: str
    place: int | str
    caller: int | str | None
    """The place of the caller; None: a library, the event loop or a thread."""

    is_hop: bool
    """Whether it goes from one module to another, and makes no new object."""

    is_method: bool
    takes: bool
    gives: bool = False

    @property
    def name(self) -> str:
        """The function, without the functions that it is defined in."""
        return self.code.co_qualname.split("<locals>.")[-1]

    @property
    def summary(self) -> str:
        """The first sentence of its docstring."""
        first = self.code.co_consts[0]
        return " ".join(first.split()).split(". ")[0].rstrip(".") if isinstance(first, str) else ""


@dataclass(frozen=True, slots=True)
class _HandOver:
    call: Call
    source: int | str
    goal: int | str


@dataclass(slots=True)
class HopTracer:
    """Watches the way of a thing from the function `start` to the function `end`, by their qualified names.

    `thing` is the pattern; values in which `apart` is found are something else. With `newest` the watch
    begins anew at each call of `start`.
    """

    thing: re.Pattern[str]
    start: str
    end: str
    apart: re.Pattern[str] | None = None
    newest: bool = False
    done: bool = False
    _calls: dict[int, Call | None] = field(default_factory=dict)
    _given: list[_HandOver] = field(default_factory=list)
    _begun: bool = False
    _kept: list[FrameType] = field(default_factory=list)

    def hops(self) -> list[Call]:
        """The calls on the way, in their order.

        Raises:
            RuntimeError: the thing has not come to the end.
        """
        if not self.done:
            raise RuntimeError(f"it has not come from {self.start} to {self.end}")
        had: set[int | str] = {self._given[0].source, self._given[0].goal}
        forth = []
        for given in self._given:
            if given.source in had:
                forth.append(given)
                had.add(given.goal)
        wanted: set[int | str] = {self._given[-1].goal}
        on_the_way: list[_HandOver] = []
        served: set[int | str] = set()  # places that were handed it again before they handed it on
        for given in reversed(forth):
            is_help = not given.call.is_method and given.source == given.call.place
            takes = given.goal == given.call.place
            if given.goal not in wanted or is_help or (takes and given.goal in served):
                continue
            on_the_way.append(given)
            wanted.add(given.source)
            served.discard(given.source)
            if takes:
                served.add(given.goal)
        return _counted(on_the_way[::-1])

    def see(self, frame: FrameType, event: str, arg: Any) -> None:
        """Take an event of `sys.setprofile`."""
        if self.done or event not in ("call", "return"):
            return
        if event == "return":
            if (call := self._calls.get(id(frame))) is not None and not call.gives and self._carries(arg):
                self._gave(call)
        elif id(frame) not in self._calls:
            code, module = frame.f_code, frame.f_globals.get("__name__", "")
            if (module.startswith(PROGRAM) or code.co_qualname == self.end) and code.co_name not in _INNER:
                self._entered(frame, module)

    def _entered(self, frame: FrameType, module: str) -> None:
        self._kept.append(frame)  # so that its id stays its own
        self._calls[id(frame)] = None
        code = frame.f_code
        caller = _caller_of(frame)
        by_library = frame.f_back is None or not _is_ours(frame.f_back)
        if by_library and code.co_name.startswith("_") and not code.co_name.startswith("__"):
            return
        within = caller is not None and caller.f_globals["__name__"] == module
        if within and by_library:
            caller, within = None, False
        if within and caller is not None and _place_of(caller) == _place_of(frame):
            return
        if code.co_qualname == self.start and self.newest:
            self._given.clear()
            self._begun = False
        makes = code.co_name == "__init__"
        if code.co_filename == "<string>" or (not makes and self._carries(frame.f_locals.get("self"))):
            return
        given = [frame.f_locals[name] for name in code.co_varnames[: _arguments(code)] if name != "self"]
        call = Call(
            code,
            module,
            _place_of(frame),
            None if caller is None else _place_of(caller),
            is_hop=not (within or makes),
            is_method=code.co_varnames[:1] == ("self",),
            takes=any(map(self._carries, given)),
        )
        self._calls[id(frame)] = call
        if call.takes:
            self._hand_over(call, call.caller, call.place)

    def _gave(self, call: Call) -> None:
        call.gives = True
        if call.caller is not None:
            self._hand_over(call, call.place, call.caller)

    def _hand_over(self, call: Call, source: int | str | None, goal: int | str) -> None:
        self._begun |= call.code.co_qualname == self.start
        if not self._begun:
            return
        if source is None:  # whoever had it last gave it to a library
            source = self._given[-1].goal if self._given else "the line"
        self._given.append(_HandOver(call, source, goal))
        self.done |= call.code.co_qualname == self.end

    def _carries(self, value: Any) -> bool:
        if value is None or isinstance(value, (bool, int, float)):
            return False
        text = repr(value)
        return self.thing.search(text) is not None and not (self.apart and self.apart.search(text))


def _counted(way: list[_HandOver]) -> list[Call]:
    """The calls, without those that only fetch what their object was handed in another."""
    found: list[Call] = []
    handed: set[int | str] = set()
    for given in way:
        taken = given.goal == given.call.place
        if given.call not in found and (taken or given.source not in handed):
            found.append(given.call)
        if taken and not given.call.gives and given.call.code.co_name != "__init__":
            handed.add(given.call.place)
    return [call for call in found if call.is_hop]


class Watcher:
    """Sees the calls of the thread that makes it `watch`, and those of every thread that is started between
    its making and `close`."""

    def __init__(self) -> None:
        self._tracer: HopTracer | None = None
        threading.setprofile(self._see)

    def _see(self, frame: FrameType, event: str, arg: Any) -> None:
        if self._tracer is not None:
            self._tracer.see(frame, event, arg)

    @contextmanager
    def watch(self, tracer: HopTracer) -> Iterator[None]:
        """Watch the thing of this tracer meanwhile."""
        self._tracer = tracer
        sys.setprofile(self._see)
        try:
            yield
        finally:
            sys.setprofile(None)
            self._tracer = None

    def close(self) -> None:
        """See nothing of threads to come."""
        threading.setprofile(None)


def _is_ours(frame: FrameType) -> bool:
    return str(frame.f_globals.get("__name__", "")).startswith(PROGRAM)


def _caller_of(frame: FrameType) -> FrameType | None:
    """The nearest function of the program around this one."""
    outer = frame.f_back
    while outer is not None:
        if _is_ours(outer) and (outer.f_code.co_name not in _INNER or "self" in outer.f_locals):
            return outer
        outer = outer.f_back
    return None


def _place_of(frame: FrameType) -> int | str:
    owner = frame.f_locals.get("self")
    return str(frame.f_globals["__name__"]) if owner is None else id(owner)


def _arguments(code: CodeType) -> int:
    flags = bool(code.co_flags & 0x04) + bool(code.co_flags & 0x08)
    return code.co_argcount + code.co_kwonlyargcount + flags
