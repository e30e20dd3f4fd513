"""What session may stand in the diary, and each reason why not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.clock import moment_of
from app.rules.diary.facts import Span
from app.rules.diary.school_days import ANY_TIME, InstructorDays
from app.rules.diary.sessions import (
    most_at_once,
    warnings,
    why_not_change,
    why_not_day,
    why_not_move,
    why_not_stand,
)
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut
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


GAPS = replace(ANY_TIME, turnaround=timedelta(minutes=10), travel=timedelta(minutes=30))


@pytest.mark.parametrize(
    ("times", "field"),
    [("11:30-12:00", ""), ("11:29-12:00", "ends"), ("08:00-08:31", "starts"), ("08:00-08:30", "")],
)
def test_travelling_between_two_yards_takes_its_time(times: str, field: str) -> None:
    said, fields = _stand(neighbours=(neighbour(times, who=True),), calendar=GAPS)
    assert fields == ([field] if field else [])
    assert not said or "needs 30 minutes to get from one yard to the other" in said


@pytest.mark.parametrize(
    ("times", "fields"),
    [("11:10-12:00", []), ("11:09-12:00", ["ends"]), ("07:00-09:00", ["starts"])],
)
def test_a_turnaround_in_one_yard_takes_its_own(times: str, fields: list[str]) -> None:
    near = neighbour(times, places=1, who=True, yard=True)
    assert _stand(neighbours=(near,), calendar=GAPS)[1] == fields


def test_another_instructor_needs_no_time_between() -> None:
    near = neighbour("11:00-12:00", places=1, yard=True)
    assert _stand(neighbours=(near,), calendar=GAPS) == ("", [])


def test_the_reason_says_until_when_the_instructor_is_busy() -> None:
    said, _ = _stand(neighbours=(neighbour("08:00-08:55", who=True),), calendar=GAPS)
    assert said == (
        "Ines Heron is busy in Long yard until 08:55 and needs 30 minutes to get from one yard "
        "to the other."
    )


@pytest.mark.parametrize(("places", "fields"), [(1, []), (2, []), (3, ["places"]), (0, ["places"])])
def test_one_instructor_has_at_most_two_on_the_road(places: int, fields: list[str]) -> None:
    """DVSA manual for training bodies: at most two trainees on the road for one instructor."""
    road = replace(plan(places=places), kind=SessionKind.ROAD)
    tiny = replace(YARD, length_m=10, width_m=5, places=1)
    assert _stand(road, yard=tiny)[1] == fields


def test_riders_on_the_road_leave_the_yard_to_the_others() -> None:
    away = replace(neighbour("09:00-11:00", places=2, yard=True), on_road=True)
    assert _stand(plan(places=4), neighbours=(away,)) == ("", [])
    full = neighbour("09:00-11:00", places=4, yard=True)
    road = replace(plan(places=2), kind=SessionKind.ROAD)
    assert _stand(road, neighbours=(full,)) == ("", [])


def test_the_calendar_of_the_school_is_asked_too() -> None:
    closed = replace(ANY_TIME, closures=(DaysOut(DAY, DAY, "Frost"),))
    assert _stand(calendar=closed)[0] == "The school is closed on Thu 3 Dec 2026: Frost."
    off = InstructorDays("Ines Heron", days_off=(DaysOut(DAY, DAY),))
    assert _stand(calendar=replace(ANY_TIME, instructors={INES.id: off}))[1] == ["instructor_id"]


def test_a_session_of_which_something_is_not_on_file_stands_with_a_warning() -> None:
    cbt = replace(plan(), kind=SessionKind.CBT)
    assert _stand(cbt) == ("", [])
    assert warnings(cbt, INES, ANY_TIME, LONDON) == (
        "No CBT authorisation of Ines Heron is on file.",
    )
    lapsed = InstructorDays("Ines Heron", authorisations={Authorisation.CBT: date(2026, 12, 2)})
    assert _stand(cbt, calendar=replace(ANY_TIME, instructors={INES.id: lapsed}))[1] == [
        "instructor_id"
    ]


@pytest.mark.parametrize(
    ("day", "ends"), [(date(2026, 10, 25), time(9, 30)), (date(2027, 3, 28), time(11, 30))]
)
def test_a_session_over_the_clock_change_is_as_long_as_it_really_lasts(
    day: date, ends: time
) -> None:
    """The longest, ten hours, from 00:30 on: nine by the clock in October, eleven in March."""
    starts, longest = moment_of(day, time(0, 30), LONDON), moment_of(day, ends, LONDON)
    assert longest - starts == timedelta(hours=10)
    assert _stand(replace(plan(), span=Span(starts, longest))) == ("", [])
    longer = Span(starts, longest + timedelta(minutes=1))
    assert _stand(replace(plan(), span=longer))[1] == ["ends"]


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
