"""The rule that anyone can check, one sentence of it at a time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold
from app.rules.progress.standing import assess, weakest
from app.rules.progress.target import (
    FewSessions,
    LowChance,
    NeverRidden,
    ShortRun,
    Standing,
    TargetRule,
    TooLongAgo,
)
from tests.rules.progress.made import EASY, HARD, MIDDLING, rides, standing_after

WORDS = st.lists(st.text("01", min_size=1, max_size=4), min_size=1, max_size=5).map(" ".join)


def kinds(words: str, days: int = 0) -> list[str]:
    """The names of the reasons, in order."""
    return [type(reason).__name__ for reason in standing_after(words, days).reasons]


def test_a_manoeuvre_without_a_ride_is_not_yet_ridden() -> None:
    found = standing_after("")
    assert found.standing is Standing.NOT_RIDDEN
    assert found.reasons == (NeverRidden(rides_needed=3),)
    assert found.days is None


def test_three_clean_rides_over_two_sessions_are_steady() -> None:
    found = standing_after("11 1")
    assert found.standing is Standing.STEADY
    assert found.reasons == ()
    assert not found.flagged


def test_three_clean_rides_in_one_session_are_not_steady() -> None:
    found = standing_after("111")
    assert found.standing is Standing.NEARLY
    assert found.reasons == (FewSessions(sessions=1, needed=2, run=3),)


def test_two_clean_rides_over_two_sessions_are_nearly_there() -> None:
    found = standing_after("01 1")
    assert found.standing is Standing.NEARLY
    assert found.reasons == (ShortRun(run=2, needed=3, clean=2, rides=3),)


def test_a_ride_that_was_not_clean_ends_steady() -> None:
    assert standing_after("111 111").standing is Standing.STEADY
    found = standing_after("111 1110")
    assert found.standing is Standing.WORKING
    assert found.reasons[0] == ShortRun(run=0, needed=3, clean=4, rides=5)


def test_steady_lasts_through_the_last_day_allowed_and_no_longer() -> None:
    assert standing_after("111 111", days=21).standing is Standing.STEADY
    found = standing_after("111 111", days=22)
    assert found.standing is Standing.REFRESH
    assert TooLongAgo(days=22, limit=21) in found.reasons


def test_a_chance_lost_to_rust_alone_needs_a_refresh() -> None:
    rule = TargetRule(within_days=365, chance=0.85)
    fresh = standing_after("1111 1111", parameters=MIDDLING, rule=rule)
    rusty = standing_after("1111 1111", days=60, parameters=MIDDLING, rule=rule)
    assert (fresh.standing, rusty.standing) == (Standing.STEADY, Standing.REFRESH)
    [reason] = rusty.reasons
    assert isinstance(reason, LowChance)
    assert reason.by_days


def test_days_do_not_turn_what_was_never_steady_into_a_refresh() -> None:
    assert standing_after("010 01", days=60).standing is Standing.WORKING


def test_a_run_on_a_hard_manoeuvre_is_not_steady_while_the_chance_is_low() -> None:
    found = standing_after("11 1", parameters=HARD)
    assert found.standing is Standing.WORKING
    [reason] = found.reasons
    assert isinstance(reason, LowChance)
    assert not reason.by_days
    assert reason.rides_needed > 1


def test_more_clean_rides_in_one_session_never_undo_steady() -> None:
    assert standing_after("11 1").standing is Standing.STEADY
    assert standing_after("11 1111111111").standing is Standing.STEADY


def test_what_takes_most_rides_to_put_right_comes_first() -> None:
    assert kinds("11 0", days=30) == ["ShortRun", "TooLongAgo"]
    assert kinds("1", days=30) == ["ShortRun", "FewSessions", "TooLongAgo"]


def test_days_are_calendar_days_where_the_school_is() -> None:
    evening = Evidence(1, 1, datetime(2026, 7, 1, 22, 30, tzinfo=UTC), "a", clean=True)
    state = fold([evening], EASY)
    london = ZoneInfo("Europe/London")
    same_night = datetime(2026, 7, 2, 0, 15, tzinfo=london)
    next_day = datetime(2026, 7, 3, 0, 15, tzinfo=london)
    days = [
        assess(state.variants[1], state.general, TargetRule(), EASY, now).days
        for now in (same_night, next_day)
    ]
    assert days == [1, 2]


def test_a_manoeuvre_is_as_steady_as_its_weakest_variant() -> None:
    steady = standing_after("11 1")
    weak = standing_after("010")
    assert weakest([steady, weak]) is weak
    assert weakest([weak, steady, standing_after("")]).standing is Standing.NOT_RIDDEN
    with pytest.raises(ValueError, match="empty"):
        weakest([])


@pytest.mark.parametrize(
    "numbers",
    [
        {"clean_in_a_row": 0},
        {"clean_in_a_row": 11},
        {"over_sessions": 0},
        {"over_sessions": 4},
        {"within_days": 0},
        {"within_days": 366},
        {"chance": 0.49},
        {"chance": 0.91},
        {"chance": float("nan")},
    ],
)
def test_numbers_that_cannot_be_met_are_refused(numbers: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="is from"):
        TargetRule(**numbers)  # type: ignore[arg-type]


@given(WORDS, st.integers(0, 40))
def test_only_what_is_steady_has_no_reason(words: str, days: int) -> None:
    found = standing_after(words, days)
    assert (found.standing is Standing.STEADY) == (not found.reasons)


@given(WORDS)
def test_nearly_there_means_one_clean_ride_in_another_session(words: str) -> None:
    if standing_after(words).standing is Standing.NEARLY:
        last = rides(words)[-1]
        ride = Evidence(1, 99, last.ridden_at, "z", clean=True)
        after = fold([*rides(words), ride], EASY)
        found = assess(after.variants[1], after.general, TargetRule(), EASY, last.ridden_at)
        assert found.standing is Standing.STEADY


@given(WORDS, st.integers(1, 60))
def test_days_alone_never_improve_a_steady_standing(words: str, days: int) -> None:
    if standing_after(words).standing is Standing.STEADY:
        later = standing_after(words, days).standing
        assert later in {Standing.STEADY, Standing.REFRESH}


def test_the_clock_going_backwards_counts_as_today() -> None:
    ridden = rides("11 1")
    state = fold(ridden, EASY)
    before = ridden[0].ridden_at - timedelta(days=5)
    found = assess(state.variants[1], state.general, TargetRule(), EASY, before)
    assert found.days == 0
    assert found.standing is Standing.STEADY
