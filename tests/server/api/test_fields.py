"""What is put comes back: every part of the example set-up, which shows every field."""

import sqlite3
import tomllib
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

import httpx

from tarewell.setup_file.example import INTERVAL_BAR

BAR: dict[str, dict[str, dict[str, Any]]] = tomllib.loads(INTERVAL_BAR.read_text("utf-8"))
ANOTHER_WAY = {
    "liquids": {"brix": "density_g_per_ml", "weighed": "density_g_per_ml"},
    "bottles": {"full_ml": "full_g"},
}
"""Fields that are shown as another one, since there are several ways to give the same."""


def same(shown: Any, put: Any) -> bool:
    """Whether they say the same: a part that is left out is as it would be without it, a time is a time."""
    if isinstance(put, dict):
        return isinstance(shown, dict) and all(same(shown[key], value) for key, value in put.items())
    if isinstance(put, list):
        return len(shown) == len(put) and all(map(same, shown, put))
    if isinstance(put, str) and put.endswith("Z"):
        return datetime.fromisoformat(shown) == datetime.fromisoformat(put)
    return bool(shown == put)


async def test_every_field_that_is_put_is_shown(client: httpx.AsyncClient) -> None:
    for table in ("liquids", "glasses", "recipes", "bottles"):
        for key, part in BAR[table].items():
            put = {name: value for name, value in part.items() if (table, name) != ("bottles", "channel")}
            reply = await client.put(f"/v1/{table}/{key}", json=put)
            assert reply.status_code == 200, reply.text
            shown = (await client.get(f"/v1/{table}/{key}")).json()
            assert shown["etag"] == reply.json()["etag"]
            for name, value in put.items():
                other = ANOTHER_WAY.get(table, {}).get(name)
                assert shown[other] if other else same(shown[name], value), (table, key, name)


async def test_what_is_in_the_records_is_shown_though_nobody_could_put_it(
    client: httpx.AsyncClient, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(tmp_path / "bar.db")) as connection:
        connection.execute("UPDATE liquid SET name = 'two\u2028lines'")
        connection.commit()
    shown = (await client.get("/v1/liquids")).json()
    assert [liquid["name"] for liquid in shown] == ["two\u2028lines"] * 3
    assert "two\u2028lines" in (await client.get("/v1/setup")).text
