"""Encodes messages as frame bodies and back, by the declarations in `messages`.

The decoders return None for a body that no encoder writes; they never raise.
"""

import re
from typing import Any, get_args

from . import messages as m
from .fields import Syntax
from .framing import BOARD_LINE_MAX, HOST_LINE_MAX, FrameError, encode_frame

_COMMANDS = {command.word: Syntax(command) for command in get_args(m.Command)}
_ANSWERS = {answer.word: Syntax(answer) for answer in get_args(m.ReplyBody) if answer is not m.OtherVersion}
_REPORTS = {report.word: Syntax(report) for report in get_args(m.EventBody)}
_OTHER_VERSION = Syntax(m.OtherVersion)
_SAMPLE = Syntax(m.Sample)
_NUMBERED = re.compile(r"[<!>]([0-9A-F]{2}) (\S*)")


def encode_request(request: m.Request) -> bytes:
    """One host-to-board line.

    Raises:
        FrameError: a number or text outside the ranges of SPEC.md section 2.
    """
    command = request.command
    body = f">{request.seq:02X} {_COMMANDS[command.word].write(command)}"
    if decode_command(body) != command:
        raise FrameError(f"{request!r} cannot be encoded: a number or text is outside SPEC.md section 2")
    return encode_frame(body, HOST_LINE_MAX)


def request_seq(body: str) -> int | None:
    """The sequence number of a host line, even if the rest is unreadable, so that it can be refused."""
    numbered = _NUMBERED.match(body)
    return int(numbered[1], 16) if numbered and body[0] == ">" else None


def decode_command(body: str) -> m.Command | m.Refusal | None:
    """The host's command; a refusal where the verb or its fields are wrong; None if it is not a request.

    A number outside the range of SPEC.md section 2 is a wrong field (`args`); `range` and `channel` are
    checked by the board, which knows its own limits.
    """
    if request_seq(body) is None:
        return None
    verb, *_ = body[4:].split(" ")
    if verb not in _COMMANDS:
        return m.Refusal.VERB
    try:
        command: m.Command = _COMMANDS[verb].read(body[4:])
    except ValueError:
        return m.Refusal.ARGS
    return command


def encode_from_board(message: m.FromBoard) -> bytes:
    """One board-to-host line; the caller keeps numbers and names within SPEC.md sections 3 and 4."""
    match message:
        case m.Sample():
            flags = _SAMPLE.write(message)
            body = f"#{flags}-" if flags.endswith(" ") else f"#{flags}"
        case m.Reply(seq, answer):
            form = _OTHER_VERSION if isinstance(answer, m.OtherVersion) else _ANSWERS[answer.word]
            body = f"<{seq:02X} {form.write(answer)}"
        case m.Event(number, report):
            body = f"!{number:02X} {_REPORTS[report.word].write(report)}"
    return encode_frame(body, BOARD_LINE_MAX)


def decode_from_board(body: str) -> m.FromBoard | None:
    """The board's message, or None for a body that is not one."""
    try:
        return _read_sample(body) if body.startswith("#") else _read_numbered(body)
    except ValueError:
        return None


def _read_sample(body: str) -> m.Sample:
    """A sample; `-` stands for no flags."""
    if body.endswith(" "):
        raise ValueError("a sample without flags has a '-'")
    sample: m.Sample = _SAMPLE.read(body[1:].removesuffix("-") if body.endswith(" -") else body[1:])
    return sample


def _read_numbered(body: str) -> m.Reply | m.Event | None:
    numbered = _NUMBERED.match(body)
    if not numbered:
        return None
    number, word, text = int(numbered[1], 16), numbered[2], body[4:]
    if body[0] == "!" and word in _REPORTS:
        return m.Event(number, _REPORTS[word].read(text))
    if body[0] == "<" and word in _ANSWERS:
        return m.Reply(number, _read_answer(word, text))
    return None


def _read_answer(word: str, text: str) -> Any:
    """An answer; `hello` has a second form for other versions, whose further fields are ignored."""
    if word == m.OtherVersion.word:
        try:
            other: m.OtherVersion = _OTHER_VERSION.read(" ".join(text.split(" ")[:3]))
        except ValueError:
            pass
        else:
            if other.protocol != m.PROTOCOL_VERSION:
                return other
    return _ANSWERS[word].read(text)
