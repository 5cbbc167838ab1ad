"""Rounds without a machine, for playbooks: glasses, events and effects by short names."""

from collections.abc import Sequence

from menu_samples import GLASSES, HIGHBALL, LIQUIDS, SPIRIT, TUMBLER, WATER, dose, ice, menu, recipe
from playbook import After, Playbook, Some
from tarewell.dosing.events import PourCommand
from tarewell.menu.hands import Hand, HandStep
from tarewell.menu.values import Recipe
from tarewell.quantities.units import SmallMeasures
from tarewell.rounds import events as e
from tarewell.rounds.feasible import Wanted, feasible
from tarewell.rounds.guests import Served, ServingLimit
from tarewell.rounds.plan import GlassPlan, RoundPlan
from tarewell.rounds.round import Round

STILL = recipe(dose(WATER, "150 ml"), glass=TUMBLER)
STRONG = recipe(dose(SPIRIT, "25 ml"), dose(WATER, "100 ml"), glass=HIGHBALL)
GARNISH = HandStep(Hand.GARNISH, "a slice of cucumber")
ON_ICE = recipe(ice(60), dose(WATER, "120 ml"), GARNISH, glass=TUMBLER)
SPLIT = recipe(dose(WATER, "60 ml"), GARNISH, dose(WATER, "60 ml"), glass=TUMBLER)

DRESSED = recipe(dose(WATER, "150 ml"), GARNISH, HandStep(Hand.OTHER, "a straw"), glass=TUMBLER)


def named(recipe_: Recipe, name: str) -> Recipe:
    """The recipe under a name of its own."""
    return Recipe(name, name, recipe_.steps, recipe_.glass_id, recipe_.volume_ml)


MENU = menu(
    named(STILL, "still"),
    named(STRONG, "strong"),
    named(ON_ICE, "on-ice"),
    named(SPLIT, "split"),
    named(DRESSED, "dressed"),
)


def glasses(*wanted: str | Wanted) -> tuple[GlassPlan, ...]:
    """Planned glasses of the recipes above."""
    wishes = [Wanted(item) if isinstance(item, str) else item for item in wanted]
    found = feasible(MENU, wishes, SmallMeasures())
    if found.short:
        raise ValueError(found.summary)
    return found.glasses


HOLD = e.RoundCommanded(e.RoundCommand.HOLD)
RESTART = e.RoundCommanded(e.RoundCommand.RESTART)
SKIP = e.RoundCommanded(e.RoundCommand.SKIP)
STOP = e.RoundCommanded(e.RoundCommand.STOP)
START = e.RoundCommanded(e.RoundCommand.START)
CONFIRM = e.RoundCommanded(e.RoundCommand.CONFIRM)


def stands(gross_g: float) -> e.PlatformRead:
    """A load rests on the platform."""
    return e.PlatformRead(gross_g)


def begins(pour_id: str = "p1") -> e.PourBegun:
    """The requested pour has begun."""
    return e.PourBegun(pour_id)


def ends(*delivered_g: float, state: str = "complete", cause: str = "target") -> After:
    """The pour has ended, after 10 s."""
    return After(10.0, e.GlassPourEnded(state, cause, delivered_g))


def pour(glass: int, attempt: int = 0, leg: int = 0) -> Some[e.BeginPour]:
    """A pour is requested."""
    return Some(e.BeginPour, glass=glass, attempt=attempt, leg=leg)


def told(pour_id: str, command: str) -> e.GivePourCommand:
    """The pour under way is given a command."""
    return e.GivePourCommand(pour_id, PourCommand(command))


def now(state: str, glass: int) -> Some[e.RoundStateChanged]:
    """The round stands there, at this glass."""
    return Some(e.RoundStateChanged, state=state, glass=glass)


def glass(index: int, ending: str, attempt: int = 0) -> Some[e.GlassEnded]:
    """An attempt at a glass is over."""
    return Some(e.GlassEnded, glass=index, attempt=attempt, ending=ending)


def over(state: str) -> e.RoundEnded:
    """The round is over."""
    return e.RoundEnded(state)


def steps(
    *wanted: str | Wanted,
    auto_start: bool = True,
    limit: ServingLimit | None = None,
    served: Sequence[Served] = (),
    cleared: bool = True,
) -> Playbook[Round]:
    """A round of these glasses, begun."""
    plan = RoundPlan(
        glasses(*wanted),
        {liquid.id: liquid for liquid in LIQUIDS},
        {kind.id: kind for kind in GLASSES},
        auto_start=auto_start,
        limit=limit,
    )
    made = Playbook(Round(plan, served, cleared))
    made.feed(START)
    return made
