"""Writes docs/pour-states.md and docs/round-states.md from the state tables."""

from pathlib import Path

from tarewell.dosing import states as pour
from tarewell.rounds import states as round_

POUR = """# States of a pour

Drawn from the table in `server/tarewell/dosing/states.py` by `make diagram`; a test fails when this page is
out of date. `awaiting_glass`, `taring`, `coarse_feed`, `fine_feed`, `settling` and `jog_feed` are the steps
within RUNNING of ISA-88 / IEC 61512; the other names are its procedural states.

```mermaid
{diagram}```

See [operating.md](operating.md#alarms) for the alarms and their cures.
"""

ROUND = """# States of a round

Drawn from the table in `server/tarewell/rounds/states.py` by `make diagram`; a test fails when this page is
out of date. `idle`, `holding`, `held`, `stopping`, `stopped` and `complete` are procedural states of ISA-88 /
IEC 61512; the other names are the steps within RUNNING.

```mermaid
{diagram}```

See [rounds.md](rounds.md) for what happens in each state.
"""

if __name__ == "__main__":
    here = Path(__file__)
    here.with_name("pour-states.md").write_text(POUR.format(diagram=pour.mermaid()))
    here.with_name("round-states.md").write_text(ROUND.format(diagram=round_.mermaid()))
