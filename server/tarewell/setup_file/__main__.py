"""Plans one import: database and file on standard input, the plan or its faults on standard output."""

import asyncio
import json
import sys
from pathlib import Path
from typing import Any

from tarewell.quantities.units import SmallMeasures
from tarewell.records.store import Store
from tarewell.typed_json import dump, load

from .exchange import plan_import
from .reading import SetupFaultsError


async def _plan(given: dict[str, Any]) -> dict[str, Any]:
    store = Store.reading(Path(given["database"]))
    try:
        plan = await plan_import(store, given["text"], load(SmallMeasures, given["small"]))
    except SetupFaultsError as error:
        return {"faults": dump(error.faults), "count": error.count}
    finally:
        await store.close()
    return {"plan": dump(plan)}


json.dump(asyncio.run(_plan(json.load(sys.stdin))), sys.stdout)
