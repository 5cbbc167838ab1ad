"""What the watch finds, as alarms."""

from tarewell.dosing.alarms import Alarm, alarm

from .watch import Finding, FindingKind

_NAMES = {
    FindingKind.UNCOMMANDED_PUMP: "uncommanded_pump",
    FindingKind.SECOND_PUMP: "uncommanded_pump",
    FindingKind.RISING: "unexpected_mass",
    FindingKind.FALLING: "mass_falling",
    FindingKind.EXCESS_FLOW: "excess_flow",
}


def alarm_of(finding: Finding) -> Alarm:
    """The alarm to raise, with what was observed."""
    flow = "" if finding.flow_g_per_s is None else f"{finding.flow_g_per_s:.1f} g/s"
    match finding.kind:
        case FindingKind.UNCOMMANDED_PUMP:
            detail = "it is reported on and no pump is commanded"
        case FindingKind.SECOND_PUMP:
            detail = "it is reported on and another is commanded"
        case FindingKind.RISING | FindingKind.FALLING:
            detail = f"{flow}, {finding.change_g:+.1f} g, with every pump off"
        case FindingKind.EXCESS_FLOW:
            detail = flow
    return alarm(_NAMES[finding.kind], detail, finding.channel)
