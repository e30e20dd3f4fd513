"""What session may stand in the diary, and each reason why not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.school_days import ANY_TIME
from app.rules.diary.sessions import (
    most_at_once,
    why_not_change,
    why_not_day,
    why_not_move,
    why_not_stand,
)
from tests.rules.diary.facts import (
    DAY,
    INES,
    LONDON,
    NOW,
    YARD,
    at,
    held,
    neighbour,
    plan,
    session,
)


def _stand(wanted: object = None, **other: object) -> tuple[str, list[str]]:
    facts = {"plan": wanted or plan(), "yard": YARD, "instructor": INES, "neighbours": ()}
    calendar: dict[str, object] = {"calendar": ANY_TIME, "zone": LONDON}
    reasons = why_not_stand(**(facts | calendar | other))  # type: ignore[arg-type]
    return " ".join(r.sentence for r in reasons), [r.field for r in reasons]


def test_a_session_in_an_empty_diary_stands() -> None:
    assert _stand() == ("", [])


@pytest.mark.parametrize(
    ("times", "sentence"),
    [
        ("11:00-11:00", "has to end after it starts"),
        ("11:00-09:00", "has to end after it starts"),
        ("11:00-11:14", "at least 15 minutes"),
        ("08:00-18:01", "at most 10 hours"),
    ],
)
def test_a_length_out_of_bounds_is_refused(times: str, sentence: str) -> None:
    said, fields = _stand(plan(times))
    assert sentence in said
    assert fields == ["ends"]


@pytest.mark.parametrize("times", ["11:00-11:15", "08:00-18:00"])
def test_the_shortest_and_the_longest_stand(times: str) -> None:
    assert _stand(plan(times)) == ("", [])


def test_a_session_can_be_made_for_today_but_not_for_yesterday() -> None:
    today = date(2026, 11, 26)
    assert why_not_day(today, today) == ()
    assert "This day is over" in why_not_day(today - timedelta(days=1), today)[0].sentence
    assert why_not_day(today + timedelta(days=731), today) == ()
    assert "Check the year" in why_not_day(today + timedelta(days=732), today)[0].sentence


@pytest.mark.parametrize("times", ["09:00-11:00", "10:59-12:00", "08:00-09:01", "09:30-10:00"])
def test_an_instructor_has_one_session_at_a_time(times: str) -> None:
    said, fields = _stand(neighbours=(neighbour(times, who=True),))
    assert "Ines Heron already has a session in Long yard on Thu 3 Dec 2026" in said
    assert fields == ["instructor_id"]


@pytest.mark.parametrize("times", ["11:00-12:00", "08:00-09:00"])
def test_one_that_ends_as_the_other_begins_is_no_overlap(times: str) -> None:
    assert _stand(neighbours=(neighbour(times, who=True, yard=True),)) == ("", [])


def test_an_instructor_who_does_not_teach_here_now_is_refused() -> None:
    said, _ = _stand(instructor=replace(INES, active=False))
    assert said == "Ines Heron does not teach here now."


def test_a_closed_yard_is_refused() -> None:
    assert _stand(yard=replace(YARD, open=False)) == ("Long yard is closed.", ["yard_id"])


@pytest.mark.parametrize(("places", "fields"), [(0, ["places"]), (5, ["places"]), (4, [])])
def test_one_instructor_has_at_most_four_on_the_site(places: int, fields: list[str]) -> None:
    """Four trainees for one instructor on the site: common practice, no source."""
    assert _stand(plan(places=places))[1] == fields


def test_a_small_site_has_fewer_places() -> None:
    said, _ = _stand(yard=replace(YARD, length_m=24.4, width_m=9.2))
    assert "at most 2 places" in said


def test_the_yard_has_its_own_places() -> None:
    said, fields = _stand(yard=replace(YARD, places=3))
    assert said == "Long yard has 3 places. Choose that many or fewer."
    assert fields == ["places"]


def test_sessions_side_by_side_share_the_places_of_the_yard() -> None:
    beside = (neighbour("10:00-12:00", places=3, yard=True),)
    said, fields = _stand(plan(places=2), neighbours=beside)
    assert said == "Long yard has 4 places, and other sessions at that time use 3: 1 is left."
    assert fields == ["yard_id"]
    assert _stand(plan(places=1), neighbours=beside) == ("", [])


def test_places_count_by_the_moment_and_not_by_the_day() -> None:
    one_after_another = (
        neighbour("08:00-10:00", places=2, yard=True),
        neighbour("10:00-12:00", places=2, yard=True),
    )
    assert _stand(plan(places=2), neighbours=one_after_another) == ("", [])


SPANS = st.tuples(st.integers(0, 40), st.integers(1, 20), st.integers(1, 4))


@given(st.lists(SPANS, max_size=6))
def test_the_most_at_once_is_what_counting_minute_by_minute_finds(
    spans: list[tuple[int, int, int]],
) -> None:
    around = [
        replace(
            neighbour("09:00-10:00", places=places, yard=True),
            span=replace(
                plan().span,
                starts_at=at("08:30") + timedelta(minutes=4 * begins),
                ends_at=at("08:30") + timedelta(minutes=4 * (begins + length)),
            ),
        )
        for begins, length, places in spans
    ]
    minutes = [at("09:00") + timedelta(minutes=n) for n in range(120)]
    counted = max(
        sum(n.places for n in around if n.span.starts_at <= m < n.span.ends_at) for m in minutes
    )
    assert most_at_once(plan(), around) == counted


def test_a_session_moves_with_its_riders_or_not_at_all() -> None:
    said = why_not_move(plan(), 1, [held("10:00-12:00", student=True)], LONDON)
    assert "Lena Wren is booked elsewhere" in said[0].sentence
    bike = why_not_move(plan(), 1, [held("10:00-12:00", bike=True)], LONDON)
    assert bike[0].sentence.startswith("Bike 1 is booked elsewhere on Thu 3 Dec 2026, 10:00")
    assert why_not_move(plan(), 1, [held("11:00-12:00", student=True)], LONDON) == ()


def test_a_session_keeps_the_places_that_are_taken() -> None:
    (reason,) = why_not_move(plan(places=2), 3, [], LONDON)
    assert reason.sentence == "3 students are booked. Keep at least 3 places."


def test_a_session_that_is_cancelled_or_whose_day_is_over_stays_as_it_is() -> None:
    assert why_not_change(session(), NOW, LONDON) == ()
    assert why_not_change(session(), at("23:00"), LONDON) == ()
    assert why_not_change(session(cancelled=True), NOW, LONDON)
    assert why_not_change(session(), at("00:00", DAY + timedelta(days=1)), LONDON)
