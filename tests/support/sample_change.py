"""Sample changes: patches in tests/changes that walk one "How to add" of DEVELOPERS.md.

A change is applied to a copy of the tree and tests run there, so that what DEVELOPERS.md says stays true. A
patch that no longer fits is made anew: `git apply --reject`, the rest by hand, `git diff` into the file.
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
    """One patch of tests/changes."""

    def __init__(self, name: str) -> None:
        self._path = ROOT / "tests" / "changes" / f"{name}.patch"
        self._patch = self._path.read_text("utf-8")

    @property
    def files(self) -> set[str]:
        """The files it touches, from the top of the tree."""
        return set(re.findall(r"^\+\+\+ b/(.+)$", self._patch, re.MULTILINE))

    @property
    def places(self) -> int:
        """How many places it touches: a file counts once for each run of lines."""
        return len(re.findall(r"^@@ ", self._patch, re.MULTILINE))

    def applied_in(self, folder: Path) -> "ChangedTree":
        """A copy of the tree in `folder` with the change."""
        shutil.copytree(ROOT, folder, ignore=_left_out, dirs_exist_ok=True)
        tree = ChangedTree(folder)
        tree.run("git", "apply", str(self._path))
        return tree


class ChangedTree:
    """A copy of the tree; its code is imported there and not from here."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        packages = ("protocol", "server", "simulator")
        self._environment = os.environ | {
            "PYTHONPATH": os.pathsep.join(str(folder / package) for package in packages),
            "GIT_CEILING_DIRECTORIES": str(folder.parent),  # not a part of a repository around it
        }

    def run(self, *command: str) -> str:
        """What a command printed; the calling test fails with its words if it fails."""
        done = subprocess.run(
            command, cwd=self._folder, env=self._environment, capture_output=True, text=True, check=False
        )
        if done.returncode:
            pytest.fail(f"{' '.join(command)}:\n{(done.stdout + done.stderr)[-3000:]}", pytrace=False)
        return done.stdout

    def test(self, *arguments: str) -> str:
        """Runs pytest there."""
        return self.run(sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *arguments)


def how_to_add(what: str) -> str:
    """The paragraphs of DEVELOPERS.md that tell how to add it."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    found = re.search(rf"^\*\*{what}\.\*\*.*?(?=^\*\*|^## )", text, re.MULTILINE | re.DOTALL)
    assert found, f"DEVELOPERS.md does not tell how to add {what}"
    return found.group()


def _left_out(folder: str, names: list[str]) -> set[str]:
    generated = {name for name in names if name.startswith(".") or name in ("__pycache__", "node_modules")}
    return generated | (_LEFT_OUT & set(names) if Path(folder) == ROOT else set())
