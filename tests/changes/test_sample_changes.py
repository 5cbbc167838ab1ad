"""What DEVELOPERS.md says of adding something is walked with a sample change."""

import re
import sys
from pathlib import Path

import pytest

from firmware_host import require
from sample_change import ChangedTree, SampleChange, how_to_add
from sample_databases import revisions

NEWEST = revisions()[-1]
LIGHT = SampleChange("light-request")
GLASS_FIELD = SampleChange("glass-field", NEWEST=NEWEST, NEXT=f"{int(NEWEST) + 1:04}")
HAND_STEP = SampleChange("hand-step")


@pytest.fixture(scope="module")
def light(tmp_path_factory: pytest.TempPathFactory) -> ChangedTree:
    """The tree with a request more: `light C`."""
    return LIGHT.applied_in(tmp_path_factory.mktemp("light"))


def test_a_request_on_the_line_takes_twelve_places_at_most_and_they_are_the_documented_ones() -> None:
    assert len(LIGHT.places) <= 12
    told = re.findall(r"`(\w+/[\w/]+\.\w+)`", how_to_add("a message on the line"))
    assert set(LIGHT.places) == set(told)


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


def test_a_field_of_a_glass_takes_eight_places_at_most_and_they_are_the_documented_ones() -> None:
    told = re.findall(
        r"^\d\. .*?`(.+?)`", how_to_add("a field of a liquid, glass, recipe or bottle"), re.MULTILINE
    )
    found = GLASS_FIELD.places
    assert len(found) <= 8
    assert sorted(next(name for name in told if name in file) for file in found) == sorted(told)


def test_a_field_of_a_glass_is_put_shown_kept_and_told(tmp_path: Path) -> None:
    tree = GLASS_FIELD.applied_in(tmp_path / "tree")
    tree.write_generated()
    assert '"material"' in (tree.folder / "docs" / "setup.schema.json").read_text("utf-8")
    in_file = "tests/server/setup_file/test_setup_file.py"
    other = " or ".join(revisions()[:-1])
    tree.test(
        "-k",
        f"not ({other} or changes_nothing_in_an_unchanged_tree)",
        "tests/server/api/test_fields.py",
        "tests/server/api/test_setup_file.py::test_export_import_export_is_the_same",
        "tests/server/setup_file/test_fields.py",
        f"{in_file}::test_written_and_read_again_the_set_up_and_its_text_are_the_same",
        f"{in_file}::test_the_schema_is_one_and_is_the_published_one",
        f"{in_file}::test_the_schema_takes_what_the_program_takes",
        "tests/server/records/test_docs.py",
        "tests/server/records/test_revisions.py",
    )


def test_a_step_by_hand_takes_seven_places_at_most_and_they_are_the_documented_ones() -> None:
    told = re.findall(r"`([\w/]+\.(?:py|md))`", how_to_add("a step by hand"))
    assert len(HAND_STEP.places) <= 7
    assert {file.removeprefix("server/tarewell/") for file in HAND_STEP.places} == set(told)


def test_a_step_that_counts_down_goes_from_set_up_file_to_panel(tmp_path: Path) -> None:
    tree = HAND_STEP.applied_in(tmp_path / "tree")
    tree.run(sys.executable, "docs/draw_states.py")
    tree.write_schema()
    tree.test(
        "tests/changes/hand_step_walk.py",
        "tests/server/menu/test_hands.py",
        "tests/server/menu/test_checks.py",
        "tests/server/rounds/test_transcripts.py",
        "tests/server/setup_file/test_setup_file.py::test_the_schema_is_one_and_is_the_published_one",
        "tests/server/setup_file/test_setup_file.py::test_the_schema_takes_what_the_program_takes",
        "tests/server/printing/test_cards.py",
        "tests/server/local_panel/test_rounds.py",
    )
