"""Messages to frame bodies and back.

The decoders return None for a body that no encoder writes; they never raise, whatever the line held.
"""

import re
from collections.abc import Callable

from . import messages as m
from .framing import BOARD_LINE_MAX, HOST_LINE_MAX, FrameError, encode_frame

ABILITIES = "rvk"
"""Ability letters in wire order: reverse, variable speed, knob."""

_NAME = re.compile(r"[A-Za-z0-9._-]{1,16}")
_UINT = re.compile(r"0|[1-9][0-9]{0,9}")
_INT = re.compile(r"0|-?[1-9][0-9]{0,9}")
_HEX = re.compile(r"[0-9A-F]+")
_DISPLAY = re.compile(r"[1-9][0-9]?x[1-9][0-9]?")


class _BadFieldError(Exception):
    """A field that is not spelled as the specification says."""


def _uint(text: str, most: int, least: int = 0) -> int:
    if not _UINT.fullmatch(text) or not least <= (value := int(text)) <= most:
        raise _BadFieldError(text)
    return value


def _int(text: str, least: int, most: int) -> int:
    if not _INT.fullmatch(text) or not least <= (value := int(text)) <= most:
        raise _BadFieldError(text)
    return value


def _hex(text: str, digits: int) -> int:
    if len(text) != digits or not _HEX.fullmatch(text):
        raise _BadFieldError(text)
    return int(text, 16)


def _counts(text: str) -> int:
    return _int(text, m.COUNTS_MIN, m.COUNTS_MAX)


def _name(text: str) -> str:
    if not _NAME.fullmatch(text):
        raise _BadFieldError(text)
    return text


def _fields(fields: list[str], count: int) -> list[str]:
    if len(fields) != count:
        raise _BadFieldError(fields)
    return fields


def _mask(channels: frozenset[int]) -> int:
    return sum(1 << (channel - 1) for channel in channels)


def _channels(mask: int) -> frozenset[int]:
    return frozenset(bit + 1 for bit in range(m.CHANNELS_MAX) if mask >> bit & 1)


def encode_request(request: m.Request) -> bytes:
    """One host-to-board line.

    Raises:
        FrameError: a number or text outside what SPEC.md section 2 can spell.
    """
    body = f">{request.seq:02X} {_command(request.command)}"
    if decode_command(body) != request.command:
        raise FrameError(f"no line spells {request!r}: a number or text is outside SPEC.md section 2")
    return encode_frame(body, HOST_LINE_MAX)


def _command(command: m.Command) -> str:
    match command:
        case m.Hello(nonce, protocol):
            return f"hello {protocol} {nonce:04X}"
        case m.Run(channel, direction, speed, lease_ms, ceiling, max_ms, above):
            side = "a" if above else "b"
            return f"run {channel} {direction} {speed} {lease_ms} {side}{ceiling} {max_ms}"
        case m.Keep(lease_ms):
            return f"keep {lease_ms}"
        case m.Stop(channel):
            return f"stop {'all' if channel is None else channel}"
        case m.EmergencyStop():
            return "estop"
        case m.Clear():
            return "clear"
        case m.Show(line, text):
            return f"show {line} {text}"
        case m.AskState():
            return "state"
        case m.AskStats():
            return "stats"
        case m.AskLimits():
            return "limits"


def request_seq(body: str) -> int | None:
    """The sequence number of a host line whose rest may be unreadable, so that it can be refused."""
    try:
        return _hex(body[1:3], 2) if body[:1] == ">" else None
    except _BadFieldError:
        return None


def decode_command(body: str) -> m.Command | m.Refusal | None:
    """What the host asks for; a refusal where the verb or its fields are wrong; None for no request.

    A number outside the range of SPEC.md section 2 is a wrong field (`args`); `range` and `channel` are
    for the board to decide, which knows its own limits.
    """
    if request_seq(body) is None or body[3:4] != " ":
        return None
    verb, *fields = body[4:].split(" ")
    reader = _VERBS.get(verb)
    if reader is None:
        return m.Refusal.VERB
    try:
        return reader(fields)
    except _BadFieldError:
        return m.Refusal.ARGS


def _read_hello(fields: list[str]) -> m.Command:
    protocol, nonce = _fields(fields, 2)
    return m.Hello(_hex(nonce, 4), _uint(protocol, 255))


def _read_run(fields: list[str]) -> m.Command:
    channel, direction, speed, lease_ms, ceiling, max_ms = _fields(fields, 6)
    if direction not in ("f", "r") or ceiling[:1] not in ("a", "b"):
        raise _BadFieldError(fields)
    return m.Run(
        _uint(channel, m.CHANNELS_MAX, 1),
        m.Direction(direction),
        _uint(speed, 255, 1),
        _uint(lease_ms, 65535, 1),
        _counts(ceiling[1:]),
        _uint(max_ms, 999_999, 1),
        ceiling[0] == "a",
    )


def _read_keep(fields: list[str]) -> m.Command:
    return m.Keep(_uint(_fields(fields, 1)[0], 65535, 1))


def _read_stop(fields: list[str]) -> m.Command:
    channel = _fields(fields, 1)[0]
    return m.Stop(None if channel == "all" else _uint(channel, m.CHANNELS_MAX, 1))


def _read_show(fields: list[str]) -> m.Command:
    text = " ".join(fields[1:])
    if len(fields) < 2 or len(text) > 20:
        raise _BadFieldError(fields)
    return m.Show(_uint(fields[0], 3), text)


def _bare(command: m.Command) -> Callable[[list[str]], m.Command]:
    def read(fields: list[str]) -> m.Command:
        _fields(fields, 0)
        return command

    return read


_VERBS: dict[str, Callable[[list[str]], m.Command]] = {
    "hello": _read_hello,
    "run": _read_run,
    "keep": _read_keep,
    "stop": _read_stop,
    "estop": _bare(m.EmergencyStop()),
    "clear": _bare(m.Clear()),
    "show": _read_show,
    "state": _bare(m.AskState()),
    "stats": _bare(m.AskStats()),
    "limits": _bare(m.AskLimits()),
}


def encode_from_board(message: m.FromBoard) -> bytes:
    """One board-to-host line; the caller keeps numbers and names within SPEC.md sections 3 and 4."""
    match message:
        case m.Sample():
            flags = ("s" if message.saturated else "") + ("e" if message.latched else "")
            flags += "l" if message.lost else ""
            body = (
                f"#{message.board_ms} {message.count} {message.counts} {message.running:02X} {flags or '-'}"
            )
        case m.Reply(seq, answer):
            body = f"<{seq:02X} {_answer(answer)}"
        case m.Event(number, report):
            body = f"!{number:02X} {_report(report)}"
    return encode_frame(body, BOARD_LINE_MAX)


def _answer(answer: m.ReplyBody) -> str:
    match answer:
        case m.Done():
            return "ok"
        case m.Refused(reason):
            return f"no {reason}"
        case m.Identity():
            abilities = "".join(letter for letter in ABILITIES if letter in answer.abilities)
            return (
                f"hello {answer.protocol} {answer.firmware} {answer.board_id} {answer.channels}"
                f" {answer.sample_rate_hz} {answer.full_scale_counts} {abilities or '-'}"
                f" {answer.display or '-'} {answer.cause}"
            )
        case m.OtherVersion(protocol, firmware):
            return f"hello {protocol} {firmware}"
        case m.BoardState(running, latched, last_channel, last_cause, next_event):
            cause = last_cause or "-"
            return f"state {_mask(running):02X} {latched:d} {last_channel} {cause} {next_event:02X}"
        case m.BoardStats():
            return (
                f"stats {answer.frames} {answer.bad_crc} {answer.overlong} {answer.overruns}"
                f" {answer.conversions_lost} {answer.conversions_late} {answer.saturated}"
            )
        case m.BoardLimits(lease_ms, run_ms, low, high):
            return f"limits {lease_ms} {run_ms} {low} {high}"


def _report(report: m.EventBody) -> str:
    match report:
        case m.Stopped(channel, cause, board_ms, ran_ms):
            return f"stopped {channel} {cause} {board_ms} {ran_ms}"
        case m.Button(press, board_ms):
            return f"button {press} {board_ms}"
        case m.Knob(steps, board_ms):
            return f"knob {steps} {board_ms}"
        case m.Booted(cause):
            return f"boot {cause}"


def decode_from_board(body: str) -> m.FromBoard | None:
    """What the board said, or None for a body that is no board message."""
    try:
        if body.startswith("#"):
            return _read_sample(body[1:].split(" "))
        head, _, rest = body[1:].partition(" ")
        word, *fields = rest.split(" ")
        if body.startswith("<"):
            return m.Reply(_hex(head, 2), _read_answer(word, fields))
        if body.startswith("!"):
            return m.Event(_hex(head, 2), _read_report(word, fields))
    except (_BadFieldError, ValueError):  # ValueError: a word outside its enumeration
        return None
    return None


_U32 = 2**32 - 1


def _read_sample(fields: list[str]) -> m.Sample:
    board_ms, count, counts, running, flags = _fields(fields, 5)
    if flags != "-" and (not flags or flags != "".join(letter for letter in "sel" if letter in flags)):
        raise _BadFieldError(flags)
    return m.Sample(
        _uint(board_ms, _U32),
        _uint(count, 65535),
        _counts(counts),
        _hex(running, 2),
        "s" in flags,
        "e" in flags,
        "l" in flags,
    )


def _read_answer(word: str, fields: list[str]) -> m.ReplyBody:
    match word:
        case "ok":
            _fields(fields, 0)
            return m.Done()
        case "no":
            return m.Refused(m.Refusal(_fields(fields, 1)[0]))
        case "hello":
            return _read_identity(fields)
        case "state":
            running, latched, channel, cause, number = _fields(fields, 5)
            return m.BoardState(
                _channels(_hex(running, 2)),
                bool(_uint(latched, 1)),
                _uint(channel, m.CHANNELS_MAX),
                None if cause == "-" else m.StopCause(cause),
                _hex(number, 2),
            )
        case "stats":
            return m.BoardStats(*(_uint(field, 65535) for field in _fields(fields, 7)))
        case "limits":
            lease_ms, run_ms, low, high = _fields(fields, 4)
            return m.BoardLimits(_uint(lease_ms, 65535), _uint(run_ms, 999_999), _counts(low), _counts(high))
    raise _BadFieldError(word)


def _read_identity(fields: list[str]) -> m.Identity | m.OtherVersion:
    if len(fields) >= 2 and (version := _uint(fields[0], 255)) != m.PROTOCOL_VERSION:
        return m.OtherVersion(version, _name(fields[1]))
    protocol, firmware, board_id, channels, rate, full_scale, abilities, display, cause = _fields(fields, 9)
    known = "".join(letter for letter in ABILITIES if letter in abilities)
    if abilities != (known or "-") or (display != "-" and not _DISPLAY.fullmatch(display)):
        raise _BadFieldError(fields)
    return m.Identity(
        _uint(protocol, 255),
        _name(firmware),
        _name(board_id),
        _uint(channels, m.CHANNELS_MAX, 1),
        _uint(rate, 1000, 1),
        _uint(full_scale, m.COUNTS_MAX, 1),
        frozenset(known),
        None if display == "-" else display,
        m.ResetCause(cause),
    )


def _read_report(word: str, fields: list[str]) -> m.EventBody:
    match word:
        case "stopped":
            channel, cause, board_ms, ran_ms = _fields(fields, 4)
            return m.Stopped(
                _uint(channel, m.CHANNELS_MAX, 1),
                m.StopCause(cause),
                _uint(board_ms, _U32),
                _uint(ran_ms, _U32),
            )
        case "button":
            press, board_ms = _fields(fields, 2)
            return m.Button(m.Press(press), _uint(board_ms, _U32))
        case "knob":
            steps, board_ms = _fields(fields, 2)
            if steps == "0":
                raise _BadFieldError(steps)
            return m.Knob(_int(steps, -127, 127), _uint(board_ms, _U32))
        case "boot":
            return m.Booted(m.ResetCause(_fields(fields, 1)[0]))
    raise _BadFieldError(word)
