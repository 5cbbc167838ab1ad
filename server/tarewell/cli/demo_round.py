"""The round of the demonstration: a simulated operator carries out the round's prompts."""

import time
from math import pi

from rich.console import Console
from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

from .daemon_client import DaemonClient, Json
from .failures import CliError, ExitCode
from .following import start_pour
from .simulated import BackDoor
from .tables import dose_table, mass, sentence

LOOK_S = 0.2
PATIENCE_S = 90.0
"""Longest time without a new step."""

MAX_RESTARTS = 3
"""Restarts allowed: a busy computer delays readings, which holds a pour; a person would restart it."""

INNER_DIAMETER_MM = 65.0


class DemoOperator:
    """Bring glasses, add ice and top-ups, take glasses away."""

    def __init__(self, back_door: BackDoor, client: DaemonClient) -> None:
        self._back_door = back_door
        self._client = client
        self._glass: Json | None = None
        self._held_g = 0.0

    @property
    def empty(self) -> bool:
        """Whether none of the operator's glasses is on the platform."""
        return self._glass is None

    def place(self, glass_id: str) -> None:
        """Put an empty glass of a kind from the set-up on the platform."""
        self._glass, self._held_g = self._client.get(f"/v1/glasses/{glass_id}"), 0.0
        self._put_down(self._glass)

    def add(self, mass_g: float) -> None:
        """Add ice or a top-up to the glass on the platform."""
        self._held_g += mass_g
        if self._glass is not None and mass_g:
            self._put_down(self._glass)

    def saw_poured(self, mass_g: float) -> None:
        """Remember what a pour has added."""
        self._held_g += mass_g

    def lift(self) -> None:
        """Take the glass away."""
        if self._glass is not None:
            self._back_door.do("lift_glass")
            self._glass = None

    def _put_down(self, glass: Json) -> None:
        """Put down a straight glass of that brim, of the mean mass of its kind."""
        self._back_door.do(
            "place_glass",
            mass_g=(glass["lightest_g"] + glass["heaviest_g"]) / 2,
            inner_diameter_mm=INNER_DIAMETER_MM,
            height_mm=1000 * glass["brim_ml"] / (pi * (INNER_DIAMETER_MM / 2) ** 2),
            contents_g=self._held_g,
        )


def pour_round(client: DaemonClient, hands: DemoOperator, body: Json, out: Console) -> Json:
    """Pour a round with `auto_start` to its end, showing each step; returns its last view.

    Raises:
        CliError: the round is refused, held repeatedly, or stuck.
    """
    link = start_pour(client, body, "/v1/rounds")["links"]["self"]
    columns = (
        SpinnerColumn(),
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[mass]}"),
    )
    with Progress(*columns, TimeElapsedColumn(), console=out, transient=True) as bar:
        operator = _RoundOperator(client, hands, link, bar)
        while operator.step():
            time.sleep(LOOK_S)
    hands.lift()
    shown: Json = client.get(link)
    return shown


class _RoundOperator:
    def __init__(self, client: DaemonClient, hands: DemoOperator, link: str, bar: Progress) -> None:
        self._client = client
        self._hands = hands
        self._link = link
        self._bar = bar
        self._task = bar.add_task("waiting", total=None, mass="")
        self._last_shown = ""
        self._give_up_s = time.monotonic() + PATIENCE_S
        self._pour: str | None = None
        self._restarts = 0

    def step(self) -> bool:
        """Poll the round and carry out its prompt; returns whether it goes on."""
        shown = self._client.get(self._link)
        progress = shown["progress"]
        self._see_pour(None if progress is None else progress["pour"])
        if progress is None:
            return False
        self._print(shown)
        match progress["step"]:
            case "awaiting_glass" if self._hands.empty:
                self._hands.place(shown["glasses"][progress["glass"] - 1]["glass_id"])
            case "awaiting_removal":
                self._hands.lift()
            case "by_hand":
                self._do_by_hand(progress["hand"])
            case "held":
                self._restart(self._why_held(progress))
        return True

    def _say(self, text: str, style: str = "") -> None:
        sentence(self._bar.console, text, style)

    def _print(self, shown: Json) -> None:
        progress = shown["progress"]
        glass = shown["glasses"][progress["glass"] - 1]
        now = f"glass {progress['glass']}, {glass['name']}: {progress['prompt']}"
        if now != self._last_shown:
            self._last_shown, self._give_up_s = now, time.monotonic() + PATIENCE_S
            self._say(now)
        elif time.monotonic() > self._give_up_s:
            raise CliError(f"the round is stuck: {now}; {progress['detail']}")

    def _see_pour(self, pour: str | None) -> None:
        """Show the pour's progress, and its doses when it is over."""
        if self._pour not in (None, pour):
            ended = self._client.get(str(self._pour))
            self._bar.console.print(dose_table(ended))
            self._hands.saw_poured(ended["delivered_g"] or 0.0)
        self._pour = pour
        if pour is None:
            self._bar.update(self._task, description="waiting", total=None, mass="")
            return
        shown = self._client.get(pour)
        under_way = shown["progress"]
        poured_g = shown["delivered_g"] if under_way is None else sum(under_way["delivered_g"])
        self._bar.update(
            self._task,
            description=(shown["state"] if under_way is None else under_way["step"]).replace("_", " "),
            total=shown["target_g"],
            completed=max(0.0, poured_g or 0.0),
            mass=f"{mass(poured_g)} g of {mass(shown['target_g'])} g",
        )

    def _do_by_hand(self, hand: Json) -> None:
        self._hands.add(hand["mass_g"])
        self._client.ask("POST", f"{self._link}/confirm")
        added = f", {mass(hand['mass_g'])} g" if hand["mass_g"] else ""
        self._say(f"  done and confirmed{added}", "green")

    def _why_held(self, progress: Json) -> str:
        pour = None if progress["pour"] is None else self._client.get(progress["pour"])["progress"]
        if pour is None or pour["alarm"] is None:
            return str(progress["detail"])
        return "{message} ({detail})".format(**pour["alarm"])

    def _restart(self, detail: str) -> None:
        self._restarts += 1
        if self._restarts > MAX_RESTARTS:
            raise CliError(f"the round was held repeatedly: {detail}", ExitCode.ABORTED)
        self._say(f"  {detail}; restarted", "yellow")
        self._client.ask("POST", f"{self._link}/restart")
