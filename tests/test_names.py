"""Names in the tree."""

import ast
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
ROOMS = ("docs", "migrations", "protocol", "server", "simulator", "tests")


def test_no_two_classes_have_the_same_name() -> None:
    names = Counter(
        node.name
        for room in ROOMS
        for path in (ROOT / room).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ClassDef)
    )
    assert len(names) > 300
    assert [name for name, count in names.items() if count > 1] == []
