"""Writes docs/pour-states.md from the state table."""

from pathlib import Path

from tarewell.dosing.states import mermaid

PAGE = """# States of a pour

Drawn from the table in `server/tarewell/dosing/states.py` by `make diagram`; a test fails when this page is
out of date. `awaiting_glass`, `taring`, `coarse_feed`, `fine_feed`, `settling` and `jog_feed` are the steps
within RUNNING of ISA-88 / IEC 61512; the other names are its procedural states.

```mermaid
{diagram}```

What the alarms mean and their cures stand in [operating.md](operating.md).
"""

if __name__ == "__main__":
    Path(__file__).with_name("pour-states.md").write_text(PAGE.format(diagram=mermaid()))
