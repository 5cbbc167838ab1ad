from typing import Any

import httpx
from fastapi import FastAPI
from pydantic import BaseModel

from api_app import app_with
from machine_double import MachineDouble
from tarewell.api.schemas import (
    about,
    alarms,
    drinks,
    evenings,
    journal,
    liquids,
    machine,
    pour_requests,
    pours,
    recipes,
    recordings,
    scale,
    sessions,
    setups,
    statistics,
    stock,
    traces,
)

BODIES = (
    about.AboutView,
    alarms.ActiveAlarmView,
    alarms.AlarmsView,
    alarms.ShelveBody,
    drinks.DrinkView,
    drinks.MenuView,
    evenings.EveningBody,
    evenings.EveningView,
    journal.JournalView,
    liquids.LiquidBody,
    liquids.LiquidView,
    liquids.ChannelBody,
    liquids.ChannelView,
    machine.BoardStatsView,
    machine.HealthView,
    machine.MachineView,
    machine.ReadyView,
    pour_requests.PourBody,
    pours.PourView,
    recipes.GlassBody,
    recipes.GlassView,
    recipes.RecipeBody,
    recipes.RecipeView,
    recordings.RecordingTraceView,
    recordings.RecordingView,
    sessions.SessionView,
    sessions.SignInBody,
    setups.ImportView,
    statistics.DoseSumsView,
    statistics.ErrorChartView,
    statistics.PourSumsView,
    statistics.StatisticsView,
    statistics.UsageView,
    stock.BottleBody,
    stock.BottleView,
    stock.MountBody,
    stock.MovementView,
    stock.StockView,
    stock.SwapBody,
    stock.WeighBody,
    scale.CalibrationRequest,
    scale.CalibrationView,
    scale.EmptyView,
    scale.IndicationView,
    traces.TracePictureView,
    traces.TraceView,
)


def refs(node: Any) -> set[str]:
    if isinstance(node, dict):
        found = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
        return found.union(*map(refs, node.values()))
    return set().union(*map(refs, node)) if isinstance(node, list) else set()


async def test_it_is_openapi_3_1_and_every_reference_leads_somewhere(client: httpx.AsyncClient) -> None:
    schema = (await client.get("/openapi.json")).json()
    assert schema["openapi"].startswith("3.1.")
    known = {f"#/components/schemas/{name}" for name in schema["components"]["schemas"]}
    assert refs(schema) <= known


def test_operation_ids_are_unique_and_every_operation_has_a_summary(app: FastAPI) -> None:
    operations = [item for path in app.openapi()["paths"].values() for item in path.values()]
    ids = [operation["operationId"] for operation in operations]
    assert len(ids) == len(set(ids))
    assert all(operation["summary"] and operation["description"] for operation in operations)


def test_every_error_is_described_as_a_problem(app: FastAPI) -> None:
    for path in app.openapi()["paths"].values():
        for operation in path.values():
            errors = {code: answer for code, answer in operation["responses"].items() if int(code) >= 400}
            assert errors
            assert all(list(answer["content"]) == ["application/problem+json"] for answer in errors.values())


def test_every_body_has_examples_that_are_valid() -> None:
    for model in BODIES:
        extra = model.model_config["json_schema_extra"]
        assert isinstance(extra, dict)
        examples = extra["examples"]
        assert isinstance(examples, list)
        assert examples
        for example in examples:
            assert isinstance(model.model_validate(example, strict=False), BaseModel)


def test_every_json_body_in_the_description_has_examples(app: FastAPI) -> None:
    schemas = app.openapi()["components"]["schemas"]
    parts = {"BoardView", "SelfTestView", "LinkView", "DoseBody", "DoseView", "FoundLaterView", "InGlassView"}
    parts |= {"ProgressView", "HoldView", "StepView", "NowView", "TraceLine"}
    parts |= {"AlarmView", "AlarmEventView", "AlarmAct", "AlarmState", "Priority"}
    parts |= {"Allergen", "FieldError", "LinkState", "Origin", "ServerSentEvent"}
    parts |= {"Agent", "Hand", "Level", "Movement", "ChannelNeed", "Purpose"}
    parts |= {"DoseForm", "HandForm", "WeighedBottle", "WeighedVolume"}
    parts |= {
        "BlockerView",
        "MenuEntryView",
        "PartChangeView",
        "RecipeNoteView",
        "PlannedDoseView",
        "PlannedHandView",
    }
    parts |= {"StockLiquidView", "ChannelOutlookView", "DrinksLeftView"}
    parts |= {"BoughtView", "EveningDrinkView", "EveningLiquidView", "MomentView", "Pace", "SizeBody"}
    parts |= {"WaitingView"}
    parts |= {"ServingView", "SealView", "ChainFaultView"}
    parts |= {"TraceStepView", "CurveView", "GapView", "TargetView", "RescaledView", "AlarmMarkView"}
    parts |= {"ErrorSummaryView", "LimitsView", "ChartDoseView", "ErrorRunView", "NamedChangeView"}
    parts |= {"LessonView", "ChangeKind", "SpeedView", "TimedRunView", "SettlingView"}
    parts |= {"HeldView", "RoundGlassView", "RoundProgressView", "ShortView", "WantedBody"}
    parts |= {"GuestDrinkView", "GuestForecastView", "GuestGlassView", "LayerView"}
    lacking = {name for name, schema in schemas.items() if "examples" not in schema}
    assert lacking <= parts


def test_half_of_the_drinks_in_the_examples_have_no_alcohol() -> None:
    extra = pour_requests.PourBody.model_config["json_schema_extra"]
    assert isinstance(extra, dict)
    examples = [pour_requests.PourBody.model_validate(example) for example in extra["examples"]]  # type: ignore[union-attr]
    with_spirit = [body for body in examples if any(dose.channel == 2 for dose in body.doses)]
    assert 2 * len(with_spirit) <= len(examples)


def test_the_token_is_described_where_one_is_set(machine: MachineDouble) -> None:
    schema = app_with(machine, "second-bell").openapi()
    assert schema["security"] == [{"token": []}, {"session": []}]
    assert schema["components"]["securitySchemes"]["token"]["scheme"] == "bearer"
    for path, item in schema["paths"].items():
        for operation in item.values():
            assert ("security" in operation) == (path in ("/v1/health", "/v1/session"))
