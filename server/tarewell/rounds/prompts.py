"""What a round wants next, in words for whoever stands at the machine."""

from .attempt import Attempt
from .plan import RoundPlan
from .states import RoundState


def prompt(state: RoundState, plan: RoundPlan, attempt: Attempt) -> str:
    """One line, without the glass's number and drink."""
    match state:
        case RoundState.AWAITING_REMOVAL:
            return "take away what stands on the platform"
        case RoundState.AWAITING_RELEASE:
            return f"{attempt.plan.guest} waits for a release"
        case RoundState.AWAITING_GLASS if attempt.touched:
            return "put the glass back on the platform"
        case RoundState.AWAITING_GLASS:
            kind = plan.kind_of(attempt.plan)
            return f"put an empty {'glass' if kind is None else kind.name} on the platform"
        case RoundState.GLASS_READY:
            return "the glass is there; start"
        case RoundState.BY_HAND if attempt.hand is not None:
            ice = f" ({attempt.hand.mass_g:.0f} g)" if attempt.hand.mass_g else ""
            return f"by hand: {attempt.hand.step.what}{ice}, then confirm"
        case RoundState.POURING:
            return "pouring"
        case RoundState.HELD:
            return "held; restart, skip or stop"
    return state.value.replace("_", " ")
