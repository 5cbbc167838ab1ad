"""Counts wrong tokens, so that nobody tries many at the sign-in."""

from collections import OrderedDict
from ipaddress import IPv6Address, ip_address

MAX_TRIES, WAIT_S = 5, 30.0
"""After this many wrong tokens an address waits this long from its last."""

MAX_ADDRESSES = 256
"""So many addresses are remembered; then the one that has been quiet for longest is forgotten."""


class SignInTries:
    """Wrong tokens by address; by network of 64 bits in IPv6, which one host may have to itself."""

    def __init__(self) -> None:
        self._wrong: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def wait_s(self, address: str, now_s: float) -> float:
        """How long the address has to wait before it may try; 0: not at all."""
        tries, last_s = self._wrong.get(_counted_as(address), (0, now_s))
        return max(0.0, last_s + WAIT_S - now_s) if tries >= MAX_TRIES else 0.0

    def wrong(self, address: str, now_s: float) -> None:
        """Note a wrong token."""
        counted = _counted_as(address)
        tries, last_s = self._wrong.pop(counted, (0, now_s))
        self._wrong[counted] = (1 if now_s - last_s >= WAIT_S else tries + 1, now_s)
        if len(self._wrong) > MAX_ADDRESSES:
            self._wrong.popitem(last=False)

    def right(self, address: str) -> None:
        """Forget what was wrong before the right token."""
        self._wrong.pop(_counted_as(address), None)


def _counted_as(address: str) -> str:
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if isinstance(found, IPv6Address) and found.ipv4_mapped is None:
        return found.exploded[:19]
    return str(found)
