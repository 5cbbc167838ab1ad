"""Helpers for transcripts of the host's session: its requests, and the board's messages."""

from board_double import IDENTITY
from tarewell_protocol import messages as m
from tarewell_protocol.codec import decode_command, encode_from_board, request_seq
from tarewell_protocol.framing import HOST_LINE_MAX, LineReader
from tarewell_protocol.session import Answered, HostSession, Opened, SessionEvent, Unanswered

NONCE = 0xA3F2
RUN = m.Run(3, m.Direction.FORWARD, 255, 400, 1_203_941, 15_000)
IDLE = m.BoardState(frozenset(), False, 0, 0, None, 0)


def sent(session: HostSession) -> list[m.Request]:
    """The requests that the session sends now."""
    requests = []
    for body in LineReader(HOST_LINE_MAX).feed(session.outbox.take_lines()):
        command, seq = decode_command(body), request_seq(body)
        assert command is not None
        assert not isinstance(command, m.Refusal)
        assert seq is not None
        requests.append(m.Request(seq, command))
    return requests


def commands(session: HostSession) -> list[m.Command]:
    """The same without numbers."""
    return [request.command for request in sent(session)]


def say(session: HostSession, message: m.FromBoard, now_s: float) -> list[SessionEvent]:
    """One line from the board."""
    return session.receive(encode_from_board(message), now_s)


def answer(
    session: HostSession, request: m.Request, now_s: float, body: m.ReplyBody | None = None
) -> list[SessionEvent]:
    """The board answers `request`: with `ok`, or with `body`."""
    return say(session, m.Reply(request.seq, body or m.Done()), now_s)


def sample(count: int) -> m.Sample:
    """A sample of which only the number matters."""
    return m.Sample(1000, count % 65536, 0, 0)


def opened(now_s: float = 0.0) -> HostSession:
    """An open session that has the board's state, with nothing under way."""
    session = HostSession(NONCE, now_s)
    (hello,) = sent(session)
    assert answer(session, hello, now_s, IDENTITY) == [Opened(IDENTITY)]
    session.tick(now_s)
    (state,) = sent(session)
    assert isinstance(answer(session, state, now_s, IDLE)[0], Answered)
    return session


def endings(events: list[SessionEvent]) -> list[tuple[int, type[Answered] | type[Unanswered]]]:
    """The tickets that ended, and how."""
    return [(event.ticket, type(event)) for event in events if isinstance(event, Answered | Unanswered)]
