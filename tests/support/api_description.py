"""The API's description for the page, from which its types are generated; `make generated` runs this file."""

import json
import sys
from pathlib import Path
from typing import Any, cast

from tarewell.api.app import create_app


def page_description() -> dict[str, Any]:
    """OpenAPI 3.1 without examples, prose and problems, of which all have the same type."""
    nothing = cast(Any, None)  # describing starts nothing and reads nothing
    described = create_app(nothing, nothing, nothing, nothing, verify=lambda: nothing).openapi()
    for item in described["paths"].values():
        for operation in item.values():
            responses = operation["responses"]
            operation["responses"] = {code: responses[code] for code in responses if code < "400"}
    return cast(dict[str, Any], _bare(described))


def _bare(value: Any, names: bool = False) -> Any:
    """Without what describes; under `names` the keys are names of ours."""
    if isinstance(value, list):
        return [_bare(item) for item in value]
    if not isinstance(value, dict):
        return value
    told = () if names else ("description", "summary", "examples", "title", "tags")
    return {
        key: _bare(item, names=key in ("properties", "paths", "schemas"))
        for key, item in value.items()
        if key not in told
    }


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(json.dumps(page_description(), indent=1, ensure_ascii=False) + "\n", "utf-8")
