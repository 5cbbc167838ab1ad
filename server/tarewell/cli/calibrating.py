"""`tarewell calibrate`: calibration with a reference mass, as a dialogue or in two steps for scripts."""

import time
from math import isfinite
from typing import Annotated

import typer
from rich.console import Console

from .daemon_client import DEFAULT_URL, DaemonClient, Json, RefusedError, Token, Url
from .failures import CliError, ExitCode
from .following import console
from .tables import mass, sentence
from .typed_commands import at_terminal
from .weighing import settled, when_at_rest

EMPTY_PATH = "/v1/scale/calibration/empty"
PATH = "/v1/scale/calibration"

CHANGE_S = 0.5
"""Pause after Enter, until what a hand has just done has changed the reading."""

EMPTY_CLOSE_G = 0.3
"""Farthest from 0 that the empty platform may read after a calibration: 3 e as it usually is (our choice)."""

BY_SCRIPT = (
    "calibration asks for hands at the platform, and there is no terminal to ask; in a script, run "
    "`tarewell calibrate --read-empty` with the platform empty, put the mass on, then run "
    "`tarewell calibrate MASS_G --empty-counts COUNTS`"
)


def _checked(mass_g: float | None) -> float | None:
    if mass_g is not None and not (isfinite(mass_g) and mass_g > 0):
        raise typer.BadParameter(f"a reference mass is more than 0 g, got {mass_g:g}")
    return mass_g


def calibrate(
    reference_g: Annotated[
        float | None,
        typer.Argument(metavar="MASS_G", callback=_checked, help="The reference mass in g."),
    ] = None,
    read_empty: Annotated[
        bool, typer.Option("--read-empty", help="For scripts: print the counts of the empty platform.")
    ] = False,
    empty_counts: Annotated[
        float | None,
        typer.Option(
            "--empty-counts", help="For scripts: counts of the empty platform; the mass is on it now."
        ),
    ] = None,
    accept_unlikely: Annotated[
        bool, typer.Option("--accept-unlikely", help="Accept a span far from what the cell should give.")
    ] = False,
    url: Url = DEFAULT_URL,
    token: Token = None,
) -> None:
    """Calibrate the scale with a known mass: empty, mass on, empty again."""
    if read_empty and (reference_g is not None or empty_counts is not None):
        raise typer.BadParameter("--read-empty stands alone: it only reads the empty platform")
    if empty_counts is not None and reference_g is None:
        raise typer.BadParameter("--empty-counts needs MASS_G, the mass that is on the platform")
    out = console()
    with DaemonClient(url, token) as client:
        if read_empty:
            typer.echo(when_at_rest(client, out, EMPTY_PATH)["empty_counts"])
        elif empty_counts is not None:
            body = {
                "empty_counts": empty_counts,
                "reference_g": reference_g,
                "accept_unlikely": accept_unlikely,
            }
            _print_kept(out, when_at_rest(client, out, PATH, body))
        elif at_terminal():
            _Dialogue(client, out, accept_unlikely).run(reference_g)
        else:
            raise CliError(BY_SCRIPT, ExitCode.USAGE)


def _print_kept(out: Console, calibration: Json) -> None:
    out.print(f"calibrated: {calibration['counts_per_g']:.2f} counts per g")


class _Dialogue:
    def __init__(self, client: DaemonClient, out: Console, accept_unlikely: bool) -> None:
        self._client = client
        self._out = out
        self._accept_unlikely = accept_unlikely
        self._so_far = "nothing was changed"

    def run(self, reference_g: float | None) -> None:
        """Ask for each step; whoever leaves before the mass was read changes nothing."""
        try:
            self._run(reference_g)
        except (KeyboardInterrupt, EOFError):
            self._out.print()
            raise CliError(f"left the calibration; {self._so_far}", ExitCode.INTERRUPTED) from None

    def _run(self, reference_g: float | None) -> None:
        sentence(self._out, "Use a mass that you know to 0.1 g, a third of Max or more. Ctrl-C leaves.")
        self._ask_hands("1. Take everything off the platform, hands off, then press Enter: ")
        empty_counts = when_at_rest(self._client, self._out, EMPTY_PATH)["empty_counts"]
        if reference_g is None:
            reference_g = self._ask_mass("2. The reference mass in g: ")
        self._ask_hands(f"2. Put the {reference_g:g} g in the middle, hands off, then press Enter: ")
        _print_kept(self._out, self._read_mass(empty_counts, reference_g))
        self._so_far = "the new calibration is kept"
        self._ask_hands("3. Take it off again, hands off, then press Enter: ")
        self._verify()

    def _ask(self, question: str) -> str:
        return self._out.input(question, markup=False).strip()

    def _ask_hands(self, question: str) -> None:
        self._ask(question)
        time.sleep(CHANGE_S)

    def _ask_mass(self, question: str, also: str = "") -> float | None:
        """A mass in g; None for the word `also`."""
        while True:
            answer = self._ask(question)
            if also and answer == also:
                return None
            try:
                return _checked(float(answer))
            except (ValueError, typer.BadParameter):
                sentence(self._out, "   a number of g, such as 500", "yellow")

    def _read_mass(self, empty_counts: float, reference_g: float | None) -> Json:
        """Calibrate; a mass that is refused is asked for again."""
        accept = self._accept_unlikely
        while True:
            body = {"empty_counts": empty_counts, "reference_g": reference_g, "accept_unlikely": accept}
            try:
                return when_at_rest(self._client, self._out, PATH, body)
            except RefusedError as error:
                sentence(self._out, f"   {error}", "yellow")
                if error.kind == "calibration-unlikely":
                    found = self._ask_mass("   What is on it, in g? If you are sure, type accept: ", "accept")
                    reference_g, accept = found or reference_g, found is None
                elif error.kind == "calibration-refused":
                    reference_g = self._ask_mass("   What is on it now, in g? ")
                else:
                    raise

    def _verify(self) -> None:
        reading = settled(self._client)
        if reading is None:
            raise CliError(
                "the scale does not come to rest, so the empty platform was not verified; the calibration is "
                "kept. Remove whatever shakes it, then look at `tarewell scale`"
            )
        if abs(reading["gross_g"]) > EMPTY_CLOSE_G:
            raise CliError(
                f"the empty platform reads {mass(reading['gross_g'])} g instead of 0 as newly calibrated. "
                "Something is on it, was on it in step 1, or it touches something: look, then calibrate again"
            )
        self._out.print(f"the empty platform reads {mass(reading['gross_g'])} g; done", style="green")
