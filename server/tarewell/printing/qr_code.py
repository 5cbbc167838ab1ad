"""An address as a QR code by ISO/IEC 18004, to be read from a sign at arm's length."""

from io import BytesIO

QUIET_ZONE = 4
"""In modules, on each side: the standard's least."""

_INK, _PAPER = "#171a18", "#ffffff"


def qr_code(text: str) -> bytes:
    """A drawing (SVG) without a size of its own. A seventh of it may be unreadable: level M.

    The library is loaded here, since many an evening has no sign.
    """
    from segno import make

    drawn = BytesIO()
    make(text, error="m", micro=False).save(
        drawn, kind="svg", border=QUIET_ZONE, omitsize=True, dark=_INK, light=_PAPER, xmldecl=False
    )
    return drawn.getvalue()
