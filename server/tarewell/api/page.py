"""Serves the page that `make page` builds: an address is a place of the page, its files are under `/page`.

The page is a client of the API like any other. Its policy allows no inline script, no inline style and
nothing from elsewhere.
"""

import gzip
import os
import re
from dataclasses import dataclass
from hashlib import sha256
from mimetypes import guess_type
from pathlib import Path

from fastapi import FastAPI
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException
from starlette.requests import Request

FOLDER = Path(__file__).parent.parent / "page"
PLACES = ("/", "/now", "/drinks", "/bottles", "/records", "/setup", "/menu", "/sign-in")
INDEX = "index.html"

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "manifest-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

_HASHED = re.compile(r".+-[0-9A-Z]{8}\.\w+(\.map)?")
"""A name with a hash of its content, as esbuild writes it: what it names never changes."""

_NOT_BUILT = """The daemon runs, but this installation has no page: in the source folder run
<code>make page</code>, then load this again. The API works without it; <a href="/docs">/docs</a> describes
it."""


@dataclass(frozen=True, slots=True)
class PageFile:
    """A file of the page, compressed (RFC 1952), with its media type and its entity tag."""

    compressed: bytes
    media_type: str
    etag: str
    cache: str


class Page:
    """The built page in a folder, read when it is asked for and again when it was built anew."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._seen: dict[str, tuple[int, int]] = {}
        self._files: dict[str, PageFile] = {}

    @property
    def files(self) -> dict[str, PageFile]:
        """The files of the folder by their names; empty: it is not built."""
        try:
            with os.scandir(self._folder) as entries:
                stats = {entry.name: entry.stat() for entry in entries if entry.is_file()}
            seen = {name: (stat.st_mtime_ns, stat.st_size) for name, stat in sorted(stats.items())}
            if seen != self._seen:
                self._files = {name: _read(self._folder / name) for name in seen}
                self._seen = seen
        except FileNotFoundError:
            pass  # not built, or just being built: what there was before serves until the next request
        return self._files

    @property
    def version(self) -> str | None:
        """Equal for equal files; None: it is not built."""
        tags = "".join(name + file.etag for name, file in self.files.items())
        return sha256(tags.encode()).hexdigest()[:12] if tags else None

    def install(self, app: FastAPI) -> None:
        """Add the page's addresses to the application."""
        for place in PLACES:
            app.add_route(place, self._place, include_in_schema=False)
            if place != "/":
                app.add_route(place + "/{rest:path}", self._place, include_in_schema=False)
        app.add_route("/page/{name}", self._file, include_in_schema=False)

    async def _place(self, request: Request) -> Response:
        """Any place: the page finds its way by the address."""
        index = self.files.get(INDEX)
        return notice(_NOT_BUILT, 503) if index is None else _answer(request, index)

    async def _file(self, request: Request) -> Response:
        file = self.files.get(request.path_params["name"])
        if file is None:
            raise HTTPException(404)
        return _answer(request, file)


def notice(html: str, status: int) -> HTMLResponse:
    """A page of a sentence or two, for when there is no other."""
    return HTMLResponse(
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Tarewell</title><p>{html}</p></html>\n",
        status_code=status,
        headers={"Cache-Control": "no-store"},
    )


def _read(path: Path) -> PageFile:
    content = path.read_bytes()
    return PageFile(
        gzip.compress(content, mtime=0),
        _media_type(path),
        f'W/"{sha256(content).hexdigest()[:32]}"',
        "public, max-age=31536000, immutable" if _HASHED.fullmatch(path.name) else "no-cache",
    )


def _media_type(path: Path) -> str:
    """By the name; what the computer's own table says of a script or a style sheet does not count."""
    known = {
        ".css": "text/css",
        ".html": "text/html",
        ".js": "text/javascript",
        ".svg": "image/svg+xml",
        ".webmanifest": "application/manifest+json",
    }
    return known.get(path.suffix) or guess_type(path.name)[0] or "application/octet-stream"


def _answer(request: Request, file: PageFile) -> Response:
    headers = {
        "ETag": file.etag,
        "Cache-Control": file.cache,
        "Content-Security-Policy": POLICY,
        "Vary": "Accept-Encoding",
    }
    if file.etag.removeprefix("W/") in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        return Response(
            file.compressed, media_type=file.media_type, headers=headers | {"Content-Encoding": "gzip"}
        )
    return Response(gzip.decompress(file.compressed), media_type=file.media_type, headers=headers)
