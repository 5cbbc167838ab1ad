"""The interface of a port, and the parsing of the setting that names one."""

import asyncio
from typing import Protocol
from urllib.parse import urlsplit

WRITE_HIGH_BYTES = 512
"""Unwritten bytes above which a link stops writing: a stop must not queue behind stale requests."""

OPEN_TIMEOUT_S = 5.0


class PortError(Exception):
    """The port cannot be opened; the message says what to do."""


class Port(Protocol):
    """One attempt at a connection; a new attempt needs a new port."""

    async def open(self, protocol: asyncio.Protocol) -> None:
        """Connect; returns after `protocol.connection_made` was called.

        Raises:
            PortError: it cannot be opened.
        """

    def abort(self) -> None:
        """End the connection at once, unwritten bytes dropped; `connection_lost` follows. May be repeated."""


def split_tcp(device: str) -> tuple[str, int] | None:
    """Host and port of `tcp://host:port`; None for the path of a serial port.

    Raises:
        ValueError: an address of another form.
    """
    if "://" not in device:
        return None
    form = f"a device is a path such as /dev/ttyUSB0, or tcp://host:port, got {device!r}"
    try:
        parts = urlsplit(device)
        host, port = parts.hostname, parts.port
    except ValueError as error:
        raise ValueError(form) from error
    if parts.scheme != "tcp" or not host or not port or parts.path.strip("/") or parts.query:
        raise ValueError(form)
    return host, port
