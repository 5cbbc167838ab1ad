"""What to try on the machine that `tarewell demo --stay` leaves running."""

import shlex
import sys
from pathlib import Path

_LINES = """
BAR={api}
JSON='Content-Type: application/json'

curl $BAR/menu                      # what can be poured, how many of each, how strong, which allergens
curl "$BAR/recipes/green-room-cooler/plan?volume=120"       # one drink in grams

# A round of one: three cubes of ice by hand, a pour, a garnish by hand
curl $BAR/rounds -H "$JSON" \\
  -d '{{"glasses": [{{"recipe_id": "green-room-cooler", "volume_ml": 120}}], "auto_start": true}}'
curl -X POST $BAR/rounds/ID/confirm     # the ice is in; after the pour the same for the garnish
curl $BAR/stock                         # what it took from the bottles

# Doses by channel, into the next glass; then everything that happens, live
{sim} do {hands} lift_glass
{sim} do {hands} place_glass mass_g=246
curl $BAR/pours -H "$JSON" \\
  -d '{{"doses": [{{"channel": 4, "amount_ml": 20}}, {{"channel": 1, "amount_g": 80}}]}}'
curl -N $BAR/events

# Pages to print: recipe cards at {api}/cards, and the plan of an evening
curl $BAR/evenings/plan -H "$JSON" -H 'Accept: text/html' -o evening.html \\
  -d '{{"guests": 80, "hours": 0.5, "drinks_per_guest_h": 1.2,
       "mix": {{"green-room-cooler": 3, "second-bell": 2}}}}'

# The same from the terminal, with prompts; and all routes at {url}/docs
{tarewell} round pour green-room-cooler --auto --url {url}
"""


def examples(url: str, hands: str) -> str:
    """Lines to read and to paste into a shell; `hands` is the back door of the simulated machine."""
    commands = Path(sys.executable).parent
    sim, tarewell = (shlex.quote(str(commands / name)) for name in ("tarewell-sim", "tarewell"))
    return _LINES.format(api=f"{url}/v1", url=url, hands=hands, sim=sim, tarewell=tarewell)
