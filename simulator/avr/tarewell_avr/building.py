"""Makes the firmware and the library that runs it, once for each process."""

import fcntl
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[3]
FIRMWARE = ROOT / "protocol" / "firmware"
INSTALL = (
    "apt-get install --no-install-recommends gcc-avr avr-libc binutils-avr libsimavr-dev libelf-dev make gcc"
)
_PROGRAMS = ("avr-gcc", "avr-nm", "make", "cc")
_HEADERS = {
    "avr-libc": Path("/usr/lib/avr/include/avr/io.h"),
    "libsimavr": Path("/usr/include/simavr/sim_avr.h"),
    "libelf": Path("/usr/include/libelf.h"),
}


class BuildError(RuntimeError):
    """Firmware or library cannot be built; the message says what to do."""


def missing() -> str:
    """What is missing to build and run the firmware and how to get it, in one line; empty if nothing is."""
    names = [name for name in _PROGRAMS if not shutil.which(name)]
    names += [name for name, header in _HEADERS.items() if not header.exists()]
    return f"the emulated board needs {', '.join(names)}; on Debian: {INSTALL}" if names else ""


@contextmanager
def building() -> Iterator[None]:
    """Only one process builds at a time: all of them use the same folders."""
    with (FIRMWARE / "Makefile").open() as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        yield


def _make(folder: Path, *arguments: str) -> None:
    if lacking := missing():
        raise BuildError(lacking)
    command = ["make", "-s", "-C", str(folder), *arguments]
    with building():
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BuildError(f"{' '.join(command)} failed:\n{(done.stdout + done.stderr)[-2000:]}")


@cache
def build_library() -> Path:
    """The library with the emulated board.

    Raises:
        BuildError: see the message.
    """
    _make(Path(__file__).parents[1] / "shim")
    return ROOT / "build" / "avr" / "libtarewell_avr.so"


Settings = tuple[tuple[str, str], ...]
"""Names and values of `config.h` that differ from its own."""


def _options(baud: int, rate_hz: int, display: str | None, more: Settings) -> dict[str, str]:
    """What differs from config.h."""
    columns, _, rows = (display or "20x4").partition("x")
    settings = {"TW_BAUD": (f"{baud}UL", "115200UL"), "TW_SAMPLE_RATE_TENTHS": (str(10 * rate_hz), "800")}
    settings |= {"TW_DISPLAY_COLUMNS": (columns, "20"), "TW_DISPLAY_ROWS": (rows, "4")}
    return {name: value for name, (value, default) in settings.items() if value != default} | dict(more)


def build_folder(
    baud: int = 115200, rate_hz: int = 80, display: str | None = None, *, more: Settings = ()
) -> Path:
    """Where `build_firmware` leaves this build."""
    options = _options(baud, rate_hz, display, more)
    return ROOT / "build" / "-".join(["firmware", *(f"{name}={value}" for name, value in options.items())])


def build_in(
    source: Path,
    out: Path,
    baud: int = 115200,
    rate_hz: int = 80,
    display: str | None = None,
    *,
    more: Settings = (),
    sketch: bool = False,
) -> Path:
    """Build the firmware of one folder into another; see `build_firmware`."""
    options = _options(baud, rate_hz, display, more)
    config = " ".join(f"-D{name}={value}" for name, value in options.items())
    _make(source, f"OUT={out}", f"CONFIG={config}", "sketch" if sketch else "all")
    return out / ("sketch/sketch.elf" if sketch else "tarewell.elf")


@cache
def build_firmware(
    baud: int = 115200,
    rate_hz: int = 80,
    display: str | None = None,
    *,
    more: Settings = (),
    sketch: bool = False,
) -> Path:
    """The firmware for a rate of the line, one of the converter, a display such as `16x2`, and more settings.

    Raises:
        BuildError: see the message.
    """
    folder = build_folder(baud, rate_hz, display, more=more)
    return build_in(FIRMWARE, folder, baud, rate_hz, display, more=more, sketch=sketch)


LOADER_SOURCE = Path("/usr/share/arduino/hardware/arduino/avr/bootloaders/optiboot/optiboot.c")
LOADER_ADDRESS = 0x7C00
"""It does not fit the 512 bytes that it was written for when this compiler builds it."""


@cache
def build_loader() -> bytes:
    """The boot loader of Debian's arduino-core-avr, from its source."""
    folder = ROOT / "build" / "loader"
    folder.mkdir(parents=True, exist_ok=True)
    places = [f"-Wl,--section-start=.text={LOADER_ADDRESS:#x}", "-Wl,--section-start=.version=0x7ffe"]
    options = [
        "-Os",
        "-w",
        "-fno-inline-small-functions",
        "-fno-split-wide-types",
        "-nostartfiles",
        "-Wl,--relax",
    ]
    values = ["-mmcu=atmega328p", "-DF_CPU=16000000L", "-DLED_START_FLASHES=3", "-DBAUD_RATE=115200"]
    with building():
        elf, image = folder / "loader.elf", folder / "loader.bin"
        subprocess.run(
            ["avr-gcc", *values, *options, *places, str(LOADER_SOURCE), "-o", str(elf)], check=True
        )
        subprocess.run(["avr-objcopy", "-O", "binary", "-j", ".text", str(elf), str(image)], check=True)
        return image.read_bytes()


def variables_end(elf: Path) -> int:
    """First address of memory after the variables of a program."""
    listing = subprocess.run(["avr-nm", str(elf)], capture_output=True, text=True, check=True).stdout
    (address,) = (line.split()[0] for line in listing.splitlines() if line.endswith(" _end"))
    return int(address, 16) & 0xFFFF
