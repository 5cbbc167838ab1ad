"""docs/build agrees with the pin header, the line's codec and its own arithmetic; its links lead on."""

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from runpy import run_path
from typing import Any
from xml.etree import ElementTree

import pytest

from tarewell_protocol.codec import decode_command, decode_from_board
from tarewell_protocol.framing import BOARD_LINE_MAX, LineReader
from tarewell_protocol.messages import Refusal
from tarewell_sim.bridge import Bridge, Winding

ROOT = Path(__file__).parents[1]
BUILD = ROOT / "docs" / "build"
PAGES = sorted(BUILD.glob("*.md"))
HEADER = (ROOT / "protocol" / "firmware" / "pins.h").read_text("utf-8")
WIRING_PAGE = (BUILD / "wiring.md").read_text("utf-8")
SCRIPT: dict[str, Any] = run_path(str(ROOT / "docs" / "draw_wiring.py"))


def rows(page: str, first_heading: str) -> list[list[str]]:
    """Cells of the table whose heading row starts so."""
    lines = [line.strip() for line in page.splitlines()]
    start = next(n for n, line in enumerate(lines) if line.startswith(f"| {first_heading} |"))
    found = []
    for line in lines[start + 2 :]:
        if not line.startswith("|"):
            break
        found.append([cell.strip() for cell in line.strip("|").split("|")])
    return found


def words_of(picture: str) -> list[str]:
    return [text for item in ElementTree.fromstring(picture).iter() if (text := (item.text or "").strip())]


def test_tables_and_picture_are_up_to_date() -> None:
    wiring = SCRIPT["read"](HEADER)
    assert SCRIPT["fill"](WIRING_PAGE, wiring) == WIRING_PAGE, "docs/build is out of date; run `make diagram`"
    picture = (BUILD / "wiring.svg").read_text("utf-8")
    assert SCRIPT["draw"](wiring) == picture, "docs/build/wiring.svg is out of date; run `make diagram`"


def test_every_pin_of_the_header_has_one_row() -> None:
    declared = {(label, f"`{name}`") for name, label in re.findall(r'PIN\((\w+), \w, \d, "(\w+)"', HEADER)}
    listed = [(row[0], row[2]) for row in rows(WIRING_PAGE, "board")]
    assert len(declared) == 20
    assert Counter(listed) == Counter(declared)


def test_every_optional_input_of_the_header_has_one_row() -> None:
    declared = re.findall(r'INPUT\((\w+), \d, "(\w+)"', HEADER)
    page = WIRING_PAGE.partition("### Optional inputs")[2]
    assert declared
    assert [row[:2] for row in rows(page, "board")] == [[label, f"`{name}`"] for name, label in declared]


def test_every_direction_wire_serves_one_input_of_one_channel() -> None:
    inputs = [cell for row in rows(WIRING_PAGE, "channel") for cell in row[1:3]]
    assert len(inputs) == 16
    assert max(Counter(inputs).values()) == 1


def test_every_pin_stands_once_in_the_picture() -> None:
    words = Counter(words_of((BUILD / "wiring.svg").read_text("utf-8")))
    labels = re.findall(r'PIN\(\w+, \w, \d, "(\w+)"', HEADER)
    assert {label: words[label] for label in labels} == dict.fromkeys(labels, 1)


def test_a_change_of_the_header_shows_in_tables_and_picture() -> None:
    swapped = HEADER.replace('"D8", OUT, "channel 1', '"D8", OUT, "channel 9')
    swapped = swapped.replace('"D10", OUT, "channel 2', '"D10", OUT, "channel 1')
    wiring = SCRIPT["read"](swapped.replace('"channel 9', '"channel 2').replace('"D13"', '"D99"'))
    channels = rows(SCRIPT["channel_table"](wiring), "channel")
    assert [row[1] for row in channels[:2]] == ["D10, `FORWARD_2`", "D8, `FORWARD_1`"]
    assert "D99" in words_of(SCRIPT["draw"](wiring))


def test_the_picture_refuses_a_pin_that_it_has_no_place_for() -> None:
    more = HEADER.replace(
        "    PIN(DISPLAY_SCL", '    PIN(LAMP, C, 6, "A6", OUT, "lamp") \\\n    PIN(DISPLAY_SCL'
    )
    with pytest.raises(ValueError, match="LAMP"):
        SCRIPT["draw"](SCRIPT["read"](more))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file_and_a_heading(page: Path) -> None:
    text = page.read_text("utf-8")
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        assert file.is_file(), f"{page.name}: {target}"
        if anchor:
            assert anchor in anchors(file), f"{page.name}: {target}"


def anchors(page: Path) -> set[str]:
    """Headings as a forge turns them into anchors: lower case, punctuation gone, blanks to hyphens."""
    headings = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def frames() -> list[str]:
    text = (BUILD / "first-power-up.md").read_text("utf-8")
    return re.findall(r"[<>#!][^`*\n<>#!]+\*[0-9A-F]{4}", text)


def test_frames_to_type_are_found() -> None:
    assert sum(frame.startswith(">") for frame in frames()) >= 14


@pytest.mark.parametrize("frame", frames())
def test_every_frame_is_one_that_the_other_side_understands(frame: str) -> None:
    (body,) = LineReader(BOARD_LINE_MAX).feed(frame.encode() + b"\n")
    if body.startswith(">"):
        assert not isinstance(decode_command(body), Refusal | None)
    else:
        assert decode_from_board(body) is not None


def test_typed_frames_differ_in_number_so_that_none_is_taken_for_a_repetition() -> None:
    numbers = Counter(frame[1:3] for frame in frames() if frame.startswith(">"))
    assert max(numbers.values()) == 1


def test_wire_table() -> None:
    """Copper at 20 °C: 58 m/(Ω·mm²), IEC 60028, from memory."""
    for area_mm2, length_m, resistance_mohm, drop_06, drop_3 in (
        map(float, row) for row in rows((BUILD / "power.md").read_text("utf-8"), "cross-section / mm²")
    ):
        expected_ohm = 2 * length_m / (58 * area_mm2)
        assert resistance_mohm / 1000 == pytest.approx(expected_ohm, rel=0.03)
        assert drop_06 == pytest.approx(0.6 * expected_ohm, abs=0.006)
        assert drop_3 == pytest.approx(3 * expected_ohm, abs=0.012)


def test_speed_table() -> None:
    """What the simulated bridge and motor give; test_bridge.py holds these against others."""
    lines = rows((BUILD / "power.md").read_text("utf-8"), "pulses / Hz")
    bridges = {"bipolar, 15 V": Bridge(12.5, 17.0, 0.0), "MOSFET, 12 V": Bridge(11.8, 13.5, 0.0)}
    for pwm_hz, bridge, *shares in lines:
        pulsed = replace(bridges[bridge], pwm_hz=float(pwm_hz.strip("*")))
        for speed, share in zip((80, 100, 120, 160, 204, 255), shares, strict=True):
            emf_v = Winding(4.0, 0.002, pulsed).emf_v(speed / 255, 0.6)
            assert float(share) == pytest.approx(emf_v / (12 - 0.6 * 4), abs=0.006)


def test_five_volts_within_a_usb_port() -> None:
    text = (BUILD / "power.md").read_text("utf-8")
    amounts = [int(row[1].split()[0]) for row in rows(text, "part")]
    total = sum(amounts) - amounts[-2]
    stated = re.search(r"at most (\d+) mA", text)
    assert stated
    assert int(stated.group(1)) == total < 500
