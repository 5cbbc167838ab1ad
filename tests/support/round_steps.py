"""A round without a machine: events in, outputs as short words, for readable transcripts."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from menu_samples import GLASSES, HIGHBALL, LIQUIDS, SPIRIT, TUMBLER, WATER, dose, ice, menu, recipe
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


@dataclass
class Steps:
    """A round and its clock; `command` gives it a command."""

    round: Round
    now_s: float = 100.0
    pours: int = 0
    ended: list[e.GlassEnded] = field(default_factory=list)
    begun: list[e.BeginPour] = field(default_factory=list)

    def feed(self, event: e.RoundEvent, after_s: float = 1.0) -> list[str]:
        """Feed an event; returns the outputs in short."""
        self.now_s += after_s
        return [self._word(output) for output in self.round.handle(event, self.now_s)]

    def command(self, command: e.RoundCommand) -> list[str]:
        """Give the command; returns the outputs in short."""
        return self.feed(e.RoundCommanded(command))

    def stands(self, gross_g: float) -> list[str]:
        """A load rests on the platform."""
        return self.feed(e.PlatformRead(gross_g))

    def begins(self) -> list[str]:
        """The requested pour has begun, as p1, p2, ..."""
        self.pours += 1
        return self.feed(e.PourBegun(f"p{self.pours}"))

    def ends(
        self, *delivered_g: float, state: str = "complete", cause: str = "target", after_s: float = 10.0
    ) -> list[str]:
        """The pour has ended."""
        return self.feed(e.GlassPourEnded(state, cause, delivered_g), after_s)

    def _word(self, output: e.RoundOutput) -> str:
        match output:
            case e.BeginPour(glass, attempt, leg):
                self.begun.append(output)
                return f"pour {glass}.{attempt}.{leg}"
            case e.GivePourCommand(pour_id, command):
                return f"{pour_id} {command}"
            case e.RoundStateChanged(state, glass):
                return f"{state} {glass}"
            case e.GlassEnded(glass, attempt, ending):
                self.ended.append(output)
                return f"glass {glass}.{attempt} {ending}"
            case e.RoundEnded(state):
                return f"over {state}"


def steps(
    *wanted: str | Wanted,
    auto_start: bool = True,
    limit: ServingLimit | None = None,
    served: Sequence[Served] = (),
    cleared: bool = True,
) -> Steps:
    """A round of these glasses, begun."""
    plan = RoundPlan(
        glasses(*wanted),
        {liquid.id: liquid for liquid in LIQUIDS},
        {kind.id: kind for kind in GLASSES},
        auto_start=auto_start,
        limit=limit,
    )
    made = Steps(Round(plan, served, cleared))
    made.command(e.RoundCommand.START)
    return made
