"""What DEVELOPERS.md says of adding something is walked with a sample change."""

import re

import pytest

from firmware_host import require
from sample_change import ChangedTree, SampleChange, how_to_add

LIGHT = SampleChange("light-request")


@pytest.fixture(scope="module")
def light(tmp_path_factory: pytest.TempPathFactory) -> ChangedTree:
    """The tree with a request more: `light C`."""
    return LIGHT.applied_in(tmp_path_factory.mktemp("light"))


def test_a_request_on_the_line_takes_twelve_places_at_most_and_they_are_the_documented_ones() -> None:
    assert LIGHT.places <= 12
    assert LIGHT.files == set(re.findall(r"`(\w+/[\w/]+\.\w+)`", how_to_add("a message on the line")))


def test_codec_and_simulated_board_take_the_new_request(light: ChangedTree) -> None:
    vectors = "tests/protocol/test_vectors.py"
    light.test(
        f"{vectors}::test_a_valid_request_means_what_the_file_says[light at the last channel]",
        f"{vectors}::test_bytes_that_carry_nothing_to_the_board[>0F light 9]",
        "tests/protocol/test_codec.py::test_a_request_reads_back_and_fits_the_boards_buffer",
        "tests/protocol/test_spec.py",
        "tests/protocol/test_wire_table.py",
        "tests/simulator/test_board.py",
    )


def test_the_firmware_takes_the_new_request_as_the_simulated_board_does(light: ChangedTree) -> None:
    require("make", "cc")
    codec, twin = "tests/protocol/firmware/test_codec.py", "tests/protocol/firmware/test_twin.py"
    light.test(
        f"{codec}::test_a_valid_request_means_what_the_golden_frame_says[light at the last channel]",
        f"{codec}::test_invalid_bytes_are_counted_and_change_nothing[>0F light 9]",
        f"{twin}::test_the_firmware_says_drives_and_shows_what_the_simulated_board_does",
    )


def test_the_new_request_compiles_for_the_chip(light: ChangedTree) -> None:
    require("make", "avr-gcc")
    light.run("make", "-C", "protocol/firmware")
