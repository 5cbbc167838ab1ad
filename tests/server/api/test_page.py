"""What the daemon serves to browsers: the page's files, the API to read, and what people see of the bar."""

import gzip
import json
import re
import shutil
from collections.abc import AsyncIterator
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest

from api_app import app_with, client_of, got_raw
from machine_double import MachineDouble
from tarewell import __version__
from tarewell.api.app import create_app
from tarewell.api.context import BarFacts
from tarewell.settings import GuestSettings
from tarewell.weighing.scale import ScaleRating

INDEX = '<!doctype html><title>The bar</title><script type="module" src="/page/page.js"></script>'
SCRIPT = "document.title = 'ü'; " * 50


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the page of all tests is."""
    return tmp_path_factory.mktemp("pages")


@pytest.fixture
def folder(place: Path) -> Path:
    """A page as it is built."""
    page = place / "page"
    shutil.rmtree(page, ignore_errors=True)
    page.mkdir()
    (page / "index.html").write_text(INDEX, "utf-8")
    (page / "page.js").write_text(SCRIPT, "utf-8")
    (page / "page.css").write_text("body { color: black }", "utf-8")
    (page / "icon.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>', "utf-8")
    (page / "manifest.webmanifest").write_text("{}", "utf-8")
    (page / "plot-K3JX7QAB.js").write_text("plot()", "utf-8")
    (place / "secret.txt").write_text("secret", "utf-8")
    (place / "page-secret").write_text("secret", "utf-8")
    return page


@pytest.fixture
async def browser(machine: MachineDouble, folder: Path) -> AsyncIterator[httpx.AsyncClient]:
    """At a daemon with a token, not signed in."""
    async with client_of(app_with(machine, "second-bell", page_folder=folder)) as browser:
        yield browser


async def test_every_place_answers_with_the_page_before_anybody_signs_in(browser: httpx.AsyncClient) -> None:
    for address in (
        "/",
        "/now",
        "/drinks?round=second-bell:F12",
        "/bottles",
        "/records",
        "/records/pours/01959c44-7f7a-7000-8a52-0d7c4a1e93b1",
        "/setup/scale/calibrate?step=4",
        "/menu",
        "/menu/orders/47",
        "/sign-in?to=/records",
    ):
        reply = await browser.get(address)
        assert reply.status_code == 200
        assert reply.text == INDEX
        assert reply.headers["content-type"] == "text/html; charset=utf-8"
        assert reply.headers["cache-control"] == "no-cache"


async def test_files_have_their_media_type(browser: httpx.AsyncClient) -> None:
    for name, media_type in (
        ("page.js", "text/javascript"),
        ("page.css", "text/css"),
        ("icon.svg", "image/svg+xml"),
        ("manifest.webmanifest", "application/manifest+json"),
    ):
        reply = await browser.get(f"/page/{name}")
        assert reply.status_code == 200
        assert reply.headers["content-type"].split(";")[0] == media_type
        assert reply.headers["x-content-type-options"] == "nosniff"


async def test_what_a_name_with_a_hash_names_is_kept_and_everything_else_asked_again(
    browser: httpx.AsyncClient,
) -> None:
    hashed = await browser.get("/page/plot-K3JX7QAB.js")
    assert "immutable" in hashed.headers["cache-control"]
    first = await browser.get("/page/page.js")
    assert first.headers["cache-control"] == "no-cache"
    again = await browser.get("/page/page.js", headers={"If-None-Match": f'"other", {first.headers["etag"]}'})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["etag"] == first.headers["etag"]


async def test_files_are_compressed_for_those_who_take_it(browser: httpx.AsyncClient) -> None:
    request = browser.build_request("GET", "/page/page.js", headers={"Accept-Encoding": "gzip"})
    reply = await browser.send(request, stream=True)
    raw = b"".join([part async for part in reply.aiter_raw()])
    assert gzip.decompress(raw).decode() == SCRIPT
    assert len(raw) < len(SCRIPT) / 4
    assert reply.headers["vary"] == "Accept-Encoding"
    plain = await browser.get("/page/page.js", headers={"Accept-Encoding": "identity"})
    assert plain.text == SCRIPT
    assert "content-encoding" not in plain.headers


async def test_the_policy_allows_no_inline_script_or_style_and_nothing_from_elsewhere(
    browser: httpx.AsyncClient,
) -> None:
    reply = await browser.get("/records")
    policy = dict(part.strip().split(" ", 1) for part in reply.headers["content-security-policy"].split(";"))
    assert policy["default-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert not re.search(r"unsafe|https?:|\*", reply.headers["content-security-policy"])
    assert reply.headers["referrer-policy"] == "same-origin"
    assert reply.headers["cross-origin-opener-policy"] == "same-origin"
    assert "camera=()" in reply.headers["permissions-policy"]


async def test_no_path_leads_out_of_the_page(machine: MachineDouble, folder: Path) -> None:
    app = app_with(machine, page_folder=folder)
    for path in (
        "/page/../secret.txt",
        "/page/..%2fsecret.txt",
        "/page/%2e%2e/secret.txt",
        "/page/parts/../../secret.txt",
        "/page//etc/passwd",
        "/page/%2fetc%2fpasswd",
        "/page/..%5csecret.txt",
        "/page/../page-secret",
        "/page/-secret",
        "/page/page.js%00.txt",
        "/page/",
        "/page/parts",
        "/page/.",
    ):
        status, headers, body = await got_raw(app, path)
        assert status == 404
        assert headers["content-type"] == "application/problem+json"
        assert json.loads(body)["type"] == "/problems/not-found"


async def test_an_address_of_the_api_never_answers_with_the_page(
    client: httpx.AsyncClient, machine: MachineDouble, folder: Path
) -> None:
    async with client_of(app_with(machine, page_folder=folder)) as browser:
        for path in ("/v1", "/v1/", "/v1/nowhere", "/v1/menu/nothing", "/nowhere", "/setups"):
            reply = await browser.get(path, headers={"Accept": "text/html"})
            assert reply.status_code == 404
            assert reply.headers["content-type"] == "application/problem+json"
        assert (await browser.post("/records")).status_code == 405


async def test_without_a_page_the_daemon_says_what_to_do(machine: MachineDouble, tmp_path: Path) -> None:
    async with client_of(app_with(machine, page_folder=tmp_path / "none")) as browser:
        reply = await browser.get("/")
        assert reply.status_code == 503
        assert "make page" in reply.text
        assert reply.headers["content-security-policy"].startswith("default-src 'none'")
        assert (await browser.get("/v1/health")).json()["page"] is None


async def test_a_page_that_was_built_anew_is_served_and_has_another_version(
    browser: httpx.AsyncClient, folder: Path
) -> None:
    before = (await browser.get("/v1/health")).json()
    assert before["version"] == __version__
    assert before["page"] == (await browser.get("/v1/health")).json()["page"]
    (folder / "page.js").write_text("built anew", "utf-8")
    assert (await browser.get("/page/page.js")).text == "built anew"
    assert (await browser.get("/v1/health")).json()["page"] != before["page"]


# The API to read


class Loaded(HTMLParser):
    """Everything that a page refers to, and every id it has."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: set[str] = set()
        self.ids: list[str] = []
        self.tags: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            if name in ("href", "src", "action"):
                self.links.add(value or "")
            if name == "id":
                self.ids.append(value or "")


async def test_the_description_of_the_api_can_be_read_without_the_internet(client: httpx.AsyncClient) -> None:
    reply = await client.get("/docs")
    described = (await client.get("/openapi.json")).json()
    read = Loaded(reply.text)
    assert {link for link in read.links if not link.startswith("#")} == {"/openapi.json"}
    assert {link[1:] for link in read.links if link.startswith("#")} <= set(read.ids)
    assert len(read.ids) == len(set(read.ids))
    assert not read.tags & {"script", "img", "iframe", "link", "form"}
    assert "script-src" not in reply.headers["content-security-policy"]
    assert reply.headers["content-security-policy"].startswith("default-src 'none'")
    for path, item in described["paths"].items():
        for method, operation in item.items():
            assert f"<code>{method.upper()} {path}</code>" in reply.text
            assert operation["operationId"] in read.ids
    assert {f"schema-{name}" for name in described["components"]["schemas"]} <= set(read.ids)


# What people see of the bar


async def test_the_settings_that_people_see(machine: MachineDouble) -> None:
    bar = BarFacts("Interval Bar", ScaleRating(2000.0, 0.2), "EUR")
    guests = GuestSettings(limit_standard_drinks=3.0, window_h=5.0)
    async with client_of(app_with(machine, None, guests, bar=bar)) as client:
        body = (await client.get("/v1/about")).json()
        assert body["name"] == "Interval Bar"
        assert (body["scale_max_g"], body["scale_e_g"]) == (2000.0, 0.2)
        assert (body["limit_standard_drinks"], body["limit_window_h"]) == (3.0, 5.0)
        assert (body["currency"], body["language"], body["version"]) == ("EUR", "en", __version__)
        # 10 ml of ethanol at 20 °C, 0.78924 g/ml (OIML R 22)
        assert body["standard_drink_g"] == pytest.approx(7.8924, abs=1e-4)
        assert (body["knob"], body["display"]) == (True, "20x4")
        assert (await client.get("/v1/session")).json()["name"] == "Interval Bar"


async def test_what_the_api_says_is_in_english_and_says_so(client: httpx.AsyncClient) -> None:
    for path in ("/v1/machine", "/v1/nowhere", "/v1/health"):
        assert (await client.get(path)).headers["content-language"] == "en"


def test_the_daemon_serves_what_make_page_builds() -> None:
    default = (create_app.__kwdefaults__ or {})["page_folder"]
    assert default == Path(create_app.__code__.co_filename).parents[1] / "page"
