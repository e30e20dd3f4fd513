"""Three things to practise, and why these."""

from __future__ import annotations

from app.rules.progress.priorities import Candidate, Cause, priorities
from tests.rules.progress.made import EASY, HARD, MIDDLING, standing_after

WORKING_HARD = Candidate(1, 6, standing_after("010", parameters=HARD))
WORKING_MIDDLING = Candidate(2, 3, standing_after("010", parameters=MIDDLING))
WORKING_EASY = Candidate(3, 1, standing_after("010", parameters=EASY))
REFRESH = Candidate(4, 2, standing_after("111 1", days=40))
NEW_EARLY = Candidate(5, 7, standing_after("", parameters=HARD))
NEW_LATE = Candidate(6, 8, standing_after("", parameters=EASY))
STEADY = Candidate(7, 4, standing_after("111 1"))
STEADY_LONGER = Candidate(8, 5, standing_after("111 1", days=15))
ALL = [NEW_LATE, STEADY, WORKING_EASY, REFRESH, WORKING_HARD, NEW_EARLY, WORKING_MIDDLING]


def picked(candidates: list[Candidate], count: int = 3) -> list[tuple[int, Cause]]:
    """The ids and causes of what is picked."""
    return [(one.candidate.manoeuvre_id, one.cause) for one in priorities(candidates, count)]


def test_one_place_goes_to_what_needs_a_refresh_and_one_to_something_new() -> None:
    assert picked(ALL) == [(1, Cause.LEAST_SURE), (4, Cause.REFRESH), (5, Cause.NEXT_NEW)]


def test_without_either_the_least_sure_come_first() -> None:
    working = [WORKING_EASY, WORKING_HARD, STEADY, WORKING_MIDDLING]
    assert [number for number, _ in picked(working)] == [1, 2, 3]


def test_a_beginner_starts_where_the_syllabus_starts() -> None:
    assert picked([NEW_LATE, NEW_EARLY]) == [(5, Cause.NEXT_NEW), (6, Cause.NEXT_NEW)]


def test_when_all_is_steady_what_is_nearest_to_being_lost_is_kept_fresh() -> None:
    assert picked([STEADY, STEADY_LONGER]) == [(8, Cause.KEEP_FRESH), (7, Cause.KEEP_FRESH)]


def test_no_more_than_asked_are_picked_and_none_twice() -> None:
    for count in range(9):
        found = picked(ALL, count)
        assert len(found) == min(count, len(ALL))
        assert len({number for number, _ in found}) == len(found)
