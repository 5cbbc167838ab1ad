"""The host names under which the daemon answers, against DNS rebinding.

Any web page can make its own name resolve to 127.0.0.1; the browser then treats that page and the daemon as
one origin. The `Host` header (RFC 9110, 7.2) still carries the page's name.
"""

import re
from collections.abc import Iterable
from ipaddress import IPv4Address, IPv6Address, ip_address

from tarewell.settings import is_loopback

from .problems import ProblemError

_HOST = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[^\s:/@\[\]]+)(?::[0-9]*)?")


class KnownHosts:
    """Loopback, the listening address, and `names`; any address when listening on all."""

    def __init__(self, listens_at: str, names: Iterable[str]) -> None:
        self._known = {_plain(name) for name in (listens_at, *names)}
        address = _address(listens_at)
        self._every_address = address is not None and address.is_unspecified

    def refusal(self, header: str | None) -> ProblemError | None:
        """The problem with a `Host` header, whatever its port; None: none."""
        if not header:
            return ProblemError(
                "unknown-host", "the request has no Host header; send the daemon's address in it"
            )
        found = _HOST.fullmatch(header)
        if found is None:
            return ProblemError(
                "unknown-host", f"the Host header {header!r} is not an address; send `name` or `name:port`"
            )
        name = _plain(found[1].strip("[]"))
        if name in self._known or is_loopback(name) or (self._every_address and _address(name) is not None):
            return None
        return ProblemError(
            "unknown-host",
            f"this daemon is not known as {name}; use one of its names, or, if {name} is one, add it to "
            "the setting `hosts`",
        )


def _plain(name: str) -> str:
    """The canonical spelling of a name or an address."""
    address = _address(name)
    return name.lower().removesuffix(".") if address is None else str(address)


def _address(name: str) -> IPv4Address | IPv6Address | None:
    try:
        return ip_address(name)
    except ValueError:
        return None
