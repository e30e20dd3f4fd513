"""What finding a place finds is what the rules of the diary accept: all of it, nothing else."""

from __future__ import annotations

from hypothesis import event, given, settings

from app.rules.diary.facts import Plan, SessionState
from app.rules.diary.finding_day import USUAL_MINUTES
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_openings import openings
from app.rules.diary.finding_places import Place, places_in_sessions
from app.rules.diary.sessions import why_not_stand
from tests.rules.diary.horizons import NOW, ZONE, horizons, wishes
from tests.rules.diary.trying import (
    accepts,
    neighbours_by_trying,
    openings_by_trying,
    sessions_by_trying,
    state_by_id,
    teacher_by_id,
)


@settings(max_examples=200, deadline=None)
@given(horizons(), wishes())
def test_every_free_place_is_found_and_no_other(horizon: Horizon, wish: Wish) -> None:
    found = places_in_sessions(wish, horizon, NOW, ZONE)
    assert [place.session_id for place in found] == sessions_by_trying(wish, horizon)
    event(f"{min(len(found), 3)} places")
    for place in found:
        assert place.session_id is not None
        state = state_by_id(horizon, place.session_id)
        bike = None if place.bike_id is None else horizon.bikes[place.bike_id]
        assert wish.own_bike is (bike is None)
        assert accepts(wish, horizon, state, place.session_id, bike)
        assert place.free == state.places - state.taken > 0


@settings(max_examples=100, deadline=None)
@given(horizons(), wishes())
def test_an_opening_is_the_start_of_every_gap_that_the_rules_leave(
    horizon: Horizon, wish: Wish
) -> None:
    found = list(openings(wish, horizon, NOW, ZONE))
    starts = [place.span.starts_at for place in found]
    minutes = wish.minutes or USUAL_MINUTES
    assert starts == sorted(openings_by_trying(wish, horizon, minutes))
    event(f"{min(len(found), 3)} openings")
    for place in found:
        assert _can_be_made(place, horizon)
        teacher = teacher_by_id(horizon, place.instructor_id)
        state = SessionState(place.span, place.yard, place.places, 0, False, teacher)
        bike = None if place.bike_id is None else horizon.bikes[place.bike_id]
        assert accepts(wish, horizon, state, None, bike)


def _can_be_made(place: Place, horizon: Horizon) -> bool:
    yard, who = horizon.yards[place.yard_id], horizon.instructors[place.instructor_id]
    near = neighbours_by_trying(horizon, yard.id, who.id)
    plan = Plan(place.span, place.places, place.kind)
    return not why_not_stand(plan, yard.state, who.state, near, horizon.calendar, ZONE)
