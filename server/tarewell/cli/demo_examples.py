"""Examples for the machine that `tarewell demo --stay` leaves running."""

import shlex
import sys
from pathlib import Path

from .daemon_client import DEFAULT_URL

_LINES = """
BAR={api}
JSON='Content-Type: application/json'

# What can be poured, how many of each, how strong, which allergens
curl $BAR/menu
# One drink in grams
curl "$BAR/recipes/green-room-cooler/plan?volume=120"

# A round of one, by the id in the reply: three cubes of ice by hand, a pour,
# a garnish by hand; confirm each of the two when it is done
curl $BAR/rounds -H "$JSON" -d '{{"auto_start": true,
  "glasses": [{{"recipe_id": "green-room-cooler", "volume_ml": 120}}]}}'
curl -X POST $BAR/rounds/ID/confirm
# What it took from the bottles
curl $BAR/stock

# Doses by channel, into the next glass; then everything that happens, live
{sim} do {hands} lift_glass; sleep 2
curl $BAR/pours -H "$JSON" -d '{{"doses": [
  {{"channel": 4, "amount_ml": 20}}, {{"channel": 1, "amount_g": 80}}]}}'
{sim} do {hands} place_glass mass_g=246
curl -N $BAR/events

# Pages to print: recipe cards, and the plan of an evening
curl $BAR/cards -o cards.html
curl $BAR/evenings/plan -H "$JSON" -H 'Accept: text/html' -o evening.html -d '
  {{"guests": 80, "hours": 0.5, "drinks_per_guest_h": 1.2,
   "mix": {{"green-room-cooler": 3, "second-bell": 2}}}}'

# All routes: {url}/docs
# The same from the terminal, with prompts
{tarewell} round pour green-room-cooler --auto{option}
"""


def examples(url: str, hands: str) -> str:
    """Lines to paste into a shell; `hands` is the back door of the simulated machine."""
    commands = Path(sys.executable).parent
    if commands.is_relative_to(Path.cwd()):
        commands = commands.relative_to(Path.cwd())
    sim, tarewell = (shlex.quote(str(commands / name)) for name in ("tarewell-sim", "tarewell"))
    option = "" if url == DEFAULT_URL else f" --url {url}"
    return _LINES.format(api=f"{url}/v1", url=url, hands=hands, sim=sim, tarewell=tarewell, option=option)
