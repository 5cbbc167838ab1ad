"""The OpenAPI description as a page to read: no script, and nothing from elsewhere."""

import json
from typing import Any

from tarewell.printing.pages import page

Json = dict[str, Any]


def page_of(described: Json) -> str:
    """The page: the paths by their first tags, then every schema, with links between them."""
    sections: dict[str, list[Json]] = {}
    for path, item in described["paths"].items():
        for method, operation in item.items():
            section = sections.setdefault(operation["tags"][0], [])
            section.append(operation | {"method": method.upper(), "path": path})
    return page(
        "reference.html",
        info=described["info"],
        sections=sections,
        schemas=sorted(described["components"]["schemas"].items()),
        as_json=lambda value: json.dumps(value, indent=2, ensure_ascii=False),
    )
