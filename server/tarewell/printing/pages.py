"""Renders templates as pages. Names are shown as text: the templates escape everything."""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import words

if TYPE_CHECKING:
    from jinja2 import Environment

CONTENT_SECURITY_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
"""Policy of a served page: no scripts, nothing from elsewhere."""


@lru_cache(maxsize=1)
def _environment() -> "Environment":
    """With the library loaded: many an evening prints nothing."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates", encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    for name in ("span", "volume", "mass", "money", "percent", "listed"):
        environment.filters[name] = getattr(words, name)
    environment.globals["counted"] = words.counted
    return environment


def page(template: str, **shown: Any) -> str:
    """The page as one HTML document."""
    return _environment().get_template(template).render(shown)
