"""Writes the pages of the state tables: docs/pour-states.md, docs/round-states.md, docs/order-states.md,
docs/panel-states.md."""

from pathlib import Path

from tarewell.dosing import states as pour
from tarewell.local_panel import states as panel
from tarewell.orders import states as order
from tarewell.rounds import states as round_

PAGE = """# {title}

Drawn from the table in `server/tarewell/{room}/states.py` by `make diagram`; a test fails when this page is
out of date. {words}

```mermaid
{diagram}```

See {see}.
"""

POUR = PAGE.format(
    title="States of a pour",
    room="dosing",
    words="""`awaiting_glass`, `taring`, `coarse_feed`, `fine_feed`, `settling`, `jog_feed` and `suck_back`
are the steps within RUNNING of ISA-88 / IEC 61512; the other names are its procedural states.""",
    diagram=pour.TABLE.diagram(),
    see="[operating.md](operating.md#alarms) for the alarms and their cures",
)

ROUND = PAGE.format(
    title="States of a round",
    room="rounds",
    words="""`idle`, `holding`, `held`, `stopping`, `stopped` and `complete` are procedural states of ISA-88 /
IEC 61512; the other names are the steps within RUNNING.""",
    diagram=round_.TABLE.diagram(),
    see="[rounds.md](rounds.md) for what happens in each state",
)

ORDER = PAGE.format(
    title="States of an order",
    room="orders",
    words="""The events from `taken` on come from the round that takes the order, the others from guest and
bar.""",
    diagram=order.TABLE.diagram(),
    see="[orders.md](orders.md) for what the guest sees",
)

PANEL = PAGE.format(
    title="Screens of the panel",
    room="local_panel",
    words="An event that a screen does not take changes nothing there.",
    diagram=panel.TABLE.diagram(),
    see="[local-panel.md](local-panel.md) for what each screen shows",
)

PAGES = {"pour-states.md": POUR, "round-states.md": ROUND, "order-states.md": ORDER, "panel-states.md": PANEL}

if __name__ == "__main__":
    for name, text in PAGES.items():
        Path(__file__).with_name(name).write_text(text)
