"""What the daemon serves of the page: small, and without anything that its policy forbids."""

import gzip
import os
import re

import pytest

from page_browser import BUILT

MAX_BYTES = 150_000

pytestmark = pytest.mark.skipif(
    os.environ.get("TAREWELL_REQUIRE_BROWSER") != "1" and not (BUILT / "page.js").is_file(),
    reason="the page is not built; make page",
)


@pytest.fixture(autouse=True)
def cleared() -> None:
    """There is no machine to clear, and no browser to start."""


def test_it_has_less_than_150_kb_on_the_wire() -> None:
    sent = sum(len(gzip.compress(file.read_bytes())) for file in BUILT.iterdir())
    assert sent < MAX_BYTES


def test_its_document_holds_no_script_and_no_style_and_names_nothing_elsewhere() -> None:
    document = (BUILT / "index.html").read_text("utf-8")
    assert re.findall(r"<script[^>]*>(?!</script>)|<style|\sstyle=|\son\w+=", document) == []
    named = re.findall(r'(?:src|href)="(.+?)"', document)
    assert len(named) == 4
    assert all((BUILT / name.removeprefix("/page/")).is_file() for name in named)
