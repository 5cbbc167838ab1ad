"""Sample changes: patches in tests/changes that walk one "How to add" of DEVELOPERS.md.

A change is applied to a copy of the tree and tests run there, so that DEVELOPERS.md stays true. Recreate a
patch that no longer applies: `git apply --reject`, the rest by hand, `git diff` into the file.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
_LEFT_OUT = {"build", "dist"}  # of the top folder; docs/build belongs to the tree


class SampleChange:
    """One patch of tests/changes. `words` replace their names between two @ signs, for values that change
    with the tree."""

    def __init__(self, name: str, **words: str) -> None:
        text = (ROOT / "tests" / "changes" / f"{name}.patch").read_text("utf-8")
        self._patch = re.sub(r"@([A-Z]+)@", lambda found: words[found[1]], text)

    @property
    def places(self) -> list[str]:
        """The file of each place it touches, from the top of the tree: one for each run of lines."""
        found, file = [], ""
        for line in self._patch.splitlines():
            if line.startswith("+++ b/"):
                file = line.removeprefix("+++ b/")
            elif line.startswith("@@ "):
                found.append(file)
        return found

    def applied_in(self, folder: Path) -> "ChangedTree":
        """A copy of the tree in `folder` with the change."""
        shutil.copytree(ROOT, folder, ignore=_left_out, dirs_exist_ok=True)
        tree = ChangedTree(folder)
        tree.run("git", "apply", "--whitespace=nowarn", "-", given=self._patch)
        return tree


class ChangedTree:
    """A copy of the tree, whose own code is imported."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        packages = ("protocol", "server", "simulator", "simulator/avr", "tests/support")
        ours = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
        self._environment = ours | {
            "PYTHONPATH": os.pathsep.join(str(folder / package) for package in packages),
            "GIT_CEILING_DIRECTORIES": str(folder.parent),  # ignore a repository around it
        }

    def run(self, *command: str, given: str | None = None) -> str:
        """Run a command with the input `given`; returns its output. The test fails with that if it fails."""
        done = subprocess.run(
            command,
            cwd=self.folder,
            env=self._environment,
            input=given,
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            pytest.fail(f"{' '.join(command)}:\n{(done.stdout + done.stderr)[-3000:]}", pytrace=False)
        return done.stdout

    def write_schema(self) -> None:
        """Write the JSON Schema of set-up files, as `make generated` does."""
        schema = self.run(sys.executable, "-m", "tarewell", "menu", "schema")
        (self.folder / "docs" / "setup.schema.json").write_text(schema, "utf-8")

    def write_generated(self) -> None:
        """As `make generated`, except for the page's types, which need Node."""
        self.write_schema()
        self.run(sys.executable, "tests/support/sample_databases.py")

    def test(self, *arguments: str) -> str:
        """Run pytest there."""
        return self.run(sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *arguments)


def how_to_add(what: str) -> str:
    """The paragraphs of DEVELOPERS.md on how to add it."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    found = re.search(rf"^\*\*{what}\.\*\*.*?(?=^\*\*|^## )", text, re.MULTILINE | re.DOTALL)
    assert found, f"DEVELOPERS.md does not say how to add {what}"
    return found.group()


def _left_out(folder: str, names: list[str]) -> set[str]:
    """Compiled modules go along, so that only what is changed is compiled again; not while one is being
    written under another name."""
    if Path(folder).name == "__pycache__":
        return {name for name in names if not name.endswith(".pyc")}
    generated = {name for name in names if name.startswith(".") or name == "node_modules"}
    return generated | (_LEFT_OUT & set(names) if Path(folder) == ROOT else set())
