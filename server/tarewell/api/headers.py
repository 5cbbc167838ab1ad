"""Headers of every response: what a browser may do with it.

OWASP Secure Headers Project names them; each is a standard of WHATWG or W3C.
"""

from starlette.datastructures import MutableHeaders
from starlette.types import Message, Send

EVERY = {"X-Content-Type-Options": "nosniff", "Cross-Origin-Resource-Policy": "same-origin"}

DOCUMENT = {
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=(), "
    "screen-wake-lock=(self)",
    "Referrer-Policy": "same-origin",
}
"""Of what a browser shows as a page. A route sets a policy of its own for what its page loads."""

LANGUAGE = "en"
"""The language of everything that the API says."""


def marked(send: Send, path: str) -> Send:
    """Adds the headers to what is sent for a request to `path`, where the route has not set them."""

    async def send_marked(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            added = dict(EVERY)
            if headers.get("content-type", "").startswith("text/html"):
                added |= DOCUMENT
            if path.startswith("/v1/"):
                added["Content-Language"] = LANGUAGE
            for name, value in added.items():
                headers.setdefault(name, value)
        await send(message)

    return send_marked
