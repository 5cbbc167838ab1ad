"""The distribution: what a wheel carries, and that it works without the checkout."""

import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("server/tarewell", "protocol/tarewell_protocol", "simulator/tarewell_sim")
BUILD = """
import sys
from hatchling import build
getattr(build, sys.argv[1])(sys.argv[2])
"""


def build(kind: str, target: Path) -> Path:
    """Call the build backend as PEP 517 and PEP 660 have it; no network, no isolation."""
    built = subprocess.run(
        [sys.executable, "-c", BUILD, f"build_{kind}", target], cwd=ROOT, capture_output=True, text=True
    )
    assert built.returncode == 0, built.stdout + built.stderr
    (wheel,) = target.glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("wheel", tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def editable(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("editable", tmp_path_factory.mktemp("editable"))


def names(wheel: Path) -> set[str]:
    """The files in a wheel."""
    with ZipFile(wheel) as archive:
        return set(archive.namelist())


def files(directory: Path) -> set[str]:
    """The files below a directory of the checkout, relative to it, what Python left there aside."""
    return {
        path.relative_to(directory).as_posix()
        for path in directory.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.mark.parametrize("package", PACKAGES)
def test_a_wheel_holds_every_file_of_the_packages(wheel: Path, package: str) -> None:
    name = package.split("/")[1]
    assert {f"{name}/{file}" for file in files(ROOT / package)} <= names(wheel)


def test_a_wheel_holds_example_scenarios_and_migrations(wheel: Path) -> None:
    assert "tarewell/setup_file/interval-bar.toml" in names(wheel)
    assert any(name.startswith("tarewell_sim/scenarios/") for name in names(wheel))
    carried = {name for name in names(wheel) if name.startswith("tarewell/_migrations/")}
    assert carried == {f"tarewell/_migrations/{file}" for file in files(ROOT / "migrations")}
    assert any(name.startswith("tarewell/_migrations/versions/") for name in carried)


def test_a_wheel_holds_nothing_of_the_checkout_besides(wheel: Path) -> None:
    tops = {name.split("/")[0] for name in names(wheel)}
    assert {top for top in tops if not top.endswith(".dist-info")} == {
        "tarewell",
        "tarewell_protocol",
        "tarewell_sim",
    }
    assert not any("__pycache__" in name for name in names(wheel))


def test_an_installed_wheel_creates_a_database_from_its_own_migrations(wheel: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with ZipFile(wheel) as archive:
        archive.extractall(site)
    program = (
        f"import sys; sys.path.insert(0, {str(site)!r})\n"
        "from pathlib import Path\n"
        "from tarewell.records.migrate import migrations_dir, upgrade\n"
        "print(migrations_dir()); print(upgrade(Path('bar.sqlite')).before)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert ran.stdout.split() == [str(site / "tarewell" / "_migrations"), "None"], ran.stderr
    assert (tmp_path / "bar.sqlite").stat().st_size > 0


def test_an_editable_install_holds_no_copy_of_the_migrations(editable: Path) -> None:
    assert not any("migrations" in name for name in names(editable))
    with ZipFile(editable) as archive:
        (path_file,) = [name for name in archive.namelist() if name.endswith(".pth")]
        roots = archive.read(path_file).decode().split()
    assert sorted(roots) == sorted(str(ROOT / package.split("/")[0]) for package in PACKAGES)
