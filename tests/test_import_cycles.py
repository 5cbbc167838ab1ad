"""No module imports itself by way of others: not within a function, not through a package, not for types."""

import ast
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOTS = ("server", "protocol", "simulator", "simulator/avr", "tests/support", "tests/benchmarks")


def modules_in(*roots: Path) -> dict[str, Path]:
    """Every module under the roots by its full name."""
    found = {}
    for root in roots:
        for path in root.rglob("*.py"):
            *package, name = path.relative_to(root).with_suffix("").parts
            found[".".join(package if name == "__init__" else [*package, name])] = path
    return found


def packages_of(name: str) -> set[str]:
    """A module and the packages around it, whose code runs when it is imported."""
    parts = name.split(".")
    return {".".join(parts[:end]) for end in range(1, len(parts) + 1)}


def imports_of(name: str, modules: Mapping[str, Path]) -> Iterator[str]:
    """Every module that this one's text imports, wherever in the file."""
    is_package = modules[name].name == "__init__.py"
    around = name.split(".") if is_package else name.split(".")[:-1]
    for node in ast.walk(ast.parse(modules[name].read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = around[: len(around) + 1 - node.level] if node.level else []
            source = ".".join([*base, *([node.module] if node.module else [])])
            for alias in node.names:
                inside = f"{source}.{alias.name}"
                yield inside if inside in modules else source


def graph_of(modules: Mapping[str, Path]) -> dict[str, list[str]]:
    """What each module needs: what it imports, and the packages around that which are not its own."""
    return {
        name: sorted(
            needed
            for target in set(imports_of(name, modules))
            for needed in {target} | (packages_of(target) - packages_of(name))
            if needed in modules
        )
        for name in modules
    }


def cycle_in(graph: Mapping[str, Iterable[str]]) -> list[str]:
    """One cycle, its first module again at the end; empty if there is none."""
    done: set[str] = set()

    def search(path: list[str]) -> list[str]:
        for target in graph[path[-1]]:
            if target in path:
                return [*path[path.index(target) :], target]
            if target not in done and (found := search([*path, target])):
                return found
        done.add(path[-1])
        return []

    return next((found for name in graph if name not in done and (found := search([name]))), [])


def test_no_module_of_the_tree_imports_itself_by_way_of_others() -> None:
    modules = modules_in(*(ROOT / root for root in ROOTS))
    assert {"tarewell.daemon", "tarewell_protocol.codec", "tarewell_sim.liquids", "tarewell_avr"} <= set(
        modules
    )
    assert not (cycle := cycle_in(graph_of(modules))), " imports ".join(cycle)


@pytest.mark.parametrize(
    ("bottle", "shelf", "package"),
    [
        ("from .shelf import Shelf", "from .bottle import Bottle", ""),
        ("import bar.shelf", "from bar import bottle", ""),
        ("from . import shelf", "def last():\n    from .bottle import Bottle", ""),
        ("from .shelf import Shelf", "if TYPE_CHECKING:\n    from .bottle import Bottle", ""),
        ("from bar import Shelf", "", "from .bottle import Bottle"),
    ],
    ids=["plain", "absolute", "in a function", "for types", "through the package"],
)
def test_a_cycle_is_found(tmp_path: Path, bottle: str, shelf: str, package: str) -> None:
    folder = tmp_path / "bar"
    folder.mkdir()
    for name, text in {"bottle": bottle, "shelf": shelf, "__init__": package, "glass": "import os"}.items():
        (folder / f"{name}.py").write_text(text)
    first, second, third = cycle_in(graph_of(modules_in(tmp_path)))
    assert first == third
    assert {first, second} == {"bar.bottle", "bar" if package else "bar.shelf"}


def test_a_cycle_through_a_package_that_is_only_passed_on_the_way_is_found(tmp_path: Path) -> None:
    for path, text in {
        "bar/__init__.py": "",
        "bar/order.py": "from cellar.shelf import Shelf",
        "cellar/__init__.py": "import bar.order",
        "cellar/shelf.py": "",
    }.items():
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text(text)
    assert sorted(set(cycle_in(graph_of(modules_in(tmp_path))))) == ["bar.order", "cellar"]
