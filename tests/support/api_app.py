"""The API over a double of the operation, and clients for it without a network."""

from collections.abc import Awaitable, Callable
from types import SimpleNamespace
from typing import Any, cast

import httpx
from fastapi import FastAPI
from pydantic import SecretStr

from operation_double import OperationDouble
from tarewell.api.app import create_app
from tarewell.dosing.setup import DosingSettings
from tarewell.operation.rounds import Rounds
from tarewell.settings import GuestSettings, MenuSettings
from tarewell.weighing.scale import ScaleRating

Poured = Callable[..., Awaitable[dict[str, Any]]]


def app_with(
    operation: OperationDouble, token: str | None = None, guests: GuestSettings | None = None
) -> FastAPI:
    secret = None if token is None else SecretStr(token)
    settings: Any = SimpleNamespace(
        token=secret,
        host="127.0.0.1",
        hosts=("bar.test",),
        menu=MenuSettings(),
        scale=ScaleRating(),
        dosing=DosingSettings(),
        guests=guests or GuestSettings(),
    )
    rounds = Rounds(settings, operation.store, cast(Any, operation))
    return create_app(cast(Any, operation), rounds, operation.store, settings)


def client_of(app: FastAPI, **headers: str) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(app, raise_app_exceptions=False)
    return httpx.AsyncClient(transport=transport, base_url="http://bar.test", headers=headers)
