"""The names by which the daemon may be asked for, against DNS rebinding.

A web page anywhere can have a name of its own resolve to 127.0.0.1; the browser then takes that page and the
daemon for one origin. The `Host` header (RFC 9110, 7.2) still carries the page's name.
"""

import re
from collections.abc import Iterable
from ipaddress import IPv4Address, IPv6Address, ip_address

from tarewell.settings import is_loopback

from .problems import ProblemError

_HOST = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[^\s:/@\[\]]+)(?::[0-9]*)?")


class KnownHosts:
    """Loopback, the address listened at, and `names`; any address where all are listened at."""

    def __init__(self, listens_at: str, names: Iterable[str]) -> None:
        self._known = {_plain(name) for name in (listens_at, *names)}
        address = _address(listens_at)
        self._every_address = address is not None and address.is_unspecified

    def refusal(self, header: str | None) -> ProblemError | None:
        """What is wrong with a `Host` header, whatever its port; None: nothing."""
        if not header:
            return ProblemError(
                "unknown-host", "the request has no Host header; send the daemon's address in it"
            )
        found = _HOST.fullmatch(header)
        if found is None:
            return ProblemError(
                "unknown-host", f"the Host header {header!r} is no address; send `name` or `name:port`"
            )
        name = _plain(found[1].strip("[]"))
        if name in self._known or is_loopback(name) or (self._every_address and _address(name) is not None):
            return None
        return ProblemError(
            "unknown-host",
            f"this daemon is not known as {name}; use a name that it has, or, if {name} is one, add it to "
            "the setting `hosts`",
        )


def _plain(name: str) -> str:
    """One spelling of a name or an address."""
    address = _address(name)
    return name.lower().removesuffix(".") if address is None else str(address)


def _address(name: str) -> IPv4Address | IPv6Address | None:
    try:
        return ip_address(name)
    except ValueError:
        return None
