"""The documentation has a heading for every route, problem, setting and alarm, and says the same."""

import re
import runpy
from dataclasses import fields
from pathlib import Path

import pytest
from fastapi import FastAPI

from tarewell.api.problems import PROBLEMS
from tarewell.cli.failures import ExitCode
from tarewell.dosing.alarm_kinds import ALARMS
from tarewell.dosing.ranges import RANGES
from tarewell.dosing.setup import DosingSettings
from tarewell.dosing.traces import KINDS
from tarewell.records.exports import TraceLine
from tarewell.settings import GuestSettings, MenuSettings, Settings
from tarewell.settings_sources import setting_names
from tarewell.weighing.scale import ScaleRating

DOCS = Path(__file__).parents[3] / "docs"


def sections(page: str) -> dict[str, str]:
    """The text under each heading of the third level, in one line of single spaces."""
    text = (DOCS / page).read_text("utf-8")
    parts = re.split(r"^(#{2,3} .+)$", text, flags=re.MULTILINE)
    return {
        head.removeprefix("### "): " ".join(body.split())
        for head, body in zip(parts[1::2], parts[2::2], strict=True)
        if head.startswith("### ")
    }


API = sections("api.md")
OPERATING = sections("operating.md")


def test_every_route_has_a_heading_with_an_example_and_every_heading_a_route(app: FastAPI) -> None:
    routes = {f"{method.upper()} {path}" for path, item in app.openapi()["paths"].items() for method in item}
    headed = {head for head in API if " /" in head}
    assert headed == routes
    for route in routes:
        assert "```sh curl " in API[route], route


def test_every_column_of_a_trace_and_every_kind_of_its_lines_is_described() -> None:
    section = API["GET /v1/pours/{pour_id}/trace"]
    names = ["sample", *KINDS, *(field.name for field in fields(TraceLine))]
    for name in names:
        assert f"`{name}`" in section, name


@pytest.mark.parametrize("name", sorted(PROBLEMS))
def test_every_problem_has_a_heading_with_its_meaning(name: str) -> None:
    kind = PROBLEMS[name]
    assert API[name] == f"{kind.status}: {kind.title}. {kind.meaning}"


def test_every_setting_has_a_heading() -> None:
    assert set(setting_names()) <= set(OPERATING)


def test_the_defaults_are_those_of_the_program() -> None:
    told = {name: re.search(r"Default: (\S+)$", OPERATING[name]) for name in setting_names()}
    tables = {
        "scale": ScaleRating(),
        "dosing": DosingSettings(),
        "menu": MenuSettings(),
        "guests": GuestSettings(),
    }
    for name, found in told.items():
        table, _, entry = name.partition(".")
        if entry:
            assert found is not None, name
            default = getattr(tables[table], entry)
            assert found[1] == str(default), name
        elif found is not None and found[1] != "none":
            assert found[1] == str(Settings.model_fields[name].default), name
    assert sum(found is not None for found in told.values()) >= sum(
        len(fields(table)) for table in tables.values()
    )


@pytest.mark.parametrize("name", sorted(RANGES))
def test_the_ranges_are_those_of_the_program(name: str) -> None:
    low, high = RANGES[name]
    assert f" From {low:g} to {high:g}. Default: " in OPERATING[f"dosing.{name}"]


@pytest.mark.parametrize("name", sorted(ALARMS))
def test_every_alarm_has_a_heading_with_all_of_its_table(name: str) -> None:
    """docs/draw_alarms.py writes the page; here it is read as people read it."""
    kind, told = ALARMS[name], sections("alarms.md")[name]
    assert told.startswith(kind.message)
    assert told.endswith(f"Cure: {kind.cure}")
    verb = {"note": "goes on", "hold": "held", "stop": "stopped", "abort": "aborted"}[kind.reaction]
    assert verb in told
    assert f"Cause: {kind.cause}" in told
    assert (
        told.partition("Consequence, unless somebody acts within ")[2]
        .partition(": ")[2]
        .startswith(kind.consequence)
    )


def test_the_page_of_alarms_is_what_its_script_writes() -> None:
    page = runpy.run_path(str(DOCS / "draw_alarms.py"))["page"]()
    assert (DOCS / "alarms.md").read_text("utf-8") == page, "run make diagram"


def test_the_exit_codes_are_those_of_the_program() -> None:
    text = (DOCS / "operating.md").read_text("utf-8").partition("## Exit codes")[2]
    assert {int(code) for code in re.findall(r"^\| (\d+) \|", text, re.MULTILINE)} == set(ExitCode)
