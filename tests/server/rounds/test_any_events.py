"""No events break a round."""

from hypothesis import given
from hypothesis import strategies as st

from playbook import Playbook
from round_steps import steps
from tarewell.rounds import events as e
from tarewell.rounds.events import RoundCommand
from tarewell.rounds.round import Round
from tarewell.rounds.states import RoundState, UnexpectedRoundEvent

EVENTS = st.one_of(
    st.sampled_from([e.RoundCommanded(command) for command in RoundCommand]),
    st.builds(e.PlatformRead, st.sampled_from([0.0, 200.0, 250.0, 305.0, 400.0])),
    st.just(e.PourBegun("p")),
    st.just(e.PourRefused("not now")),
    st.builds(e.PourChecked, st.booleans()),
    st.builds(
        e.GlassPourEnded,
        st.sampled_from(["complete", "stopped", "aborted"]),
        st.just("target"),
        st.lists(st.floats(-1, 200), max_size=3).map(tuple),
    ),
    st.just(e.Released("seat 14")),
    st.builds(e.FoundInGlass, st.sampled_from(["p1", "p2", "p3"]), st.just(0), st.floats(-5, 50)),
)


def feed_events(bar: Playbook[Round], events: list[e.RoundEvent]) -> None:
    """Give the events that a machine could bring; nothing is begun in a glass that was not recognised."""
    stands_g = 0.0
    for event in events:
        pour_under_way = bar.machine.pour_id is not None
        if isinstance(event, e.GlassPourEnded | e.PourChecked) and not pour_under_way:
            continue
        if isinstance(event, e.PourBegun | e.PourRefused) and pour_under_way:
            continue
        if isinstance(event, e.PlatformRead):
            stands_g = event.gross_g
        try:
            effects = bar.feed(event)
        except UnexpectedRoundEvent:
            continue
        if any(isinstance(effect, e.BeginPour) and effect.leg == 0 for effect in effects):
            assert 180 <= stands_g <= 220, "a tumbler, and an empty one"


@given(st.lists(EVENTS, max_size=60))
def test_whatever_happens_each_glass_ends_once_and_pours_are_asked_for_one_by_one(
    events: list[e.RoundEvent],
) -> None:
    bar = steps("on-ice", "still", "split", auto_start=True)
    feed_events(bar, events)
    all_ended = bar.of(e.GlassEnded)
    ends = [(ended.glass, ended.attempt) for ended in all_ended]
    assert len(set(ends)) == len(ends)
    final = [ended.glass for ended in all_ended if ended.ending is not e.Ending.SPOILT]
    assert final == list(range(len(final))), "in their order, each once"
    asked = [(begun.glass, begun.attempt, begun.leg) for begun in bar.of(e.BeginPour)]
    assert asked == sorted(asked)
    if bar.machine.state is RoundState.COMPLETE:
        assert len(final) == 3
