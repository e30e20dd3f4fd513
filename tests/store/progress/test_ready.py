"""Who is ready for a test, and where there is a free place."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.values import SessionKind, TestResult
from app.store.database import Database
from app.store.diary.tables import SessionRow
from app.store.progress.outlook import outlook
from app.store.progress.ready import FREE_SESSIONS, PAGE, Ready, ready_page
from app.store.progress.tables import LearnerRow
from tests.store.progress.test_flags import add_students
from tests.store.progress.test_outlook import real_test
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.databases import furnish
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, record, ride_often, variant

LONDON = ZoneInfo("Europe/London")


def ready(database: Database, now: datetime = START, page: int = 1) -> Ready:
    """One page of the list."""
    with database.reading() as session:
        return ready_page(session, now, LONDON, page)


def names(found: Ready) -> list[str]:
    """Who is in it."""
    return [one.name for one in found.students]


def coming_session(database: Database, who: Cast, days: float, places: int) -> int:
    """A session of Ines's to come; its id."""
    with database.writing() as session:
        row = SessionRow(
            yard_id=who.yard,
            instructor_id=who.instructor,
            kind=SessionKind.MODULE_1,
            starts_at=START + timedelta(days=days),
            ends_at=START + timedelta(days=days, hours=2),
            places=places,
        )
        session.add(row)
        session.flush()
        return row.id


def test_it_says_what_the_students_own_page_says(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=3, rides=4)
    (lena,) = ready(either).students
    with either.reading() as session:
        assert lena.outlook == outlook(session, who.learner, START)
    assert lena.coming is not None
    assert lena.test_at is None


def test_what_there_is_most_to_win_with_stands_beside_its_last_rides(
    either: Database, who: Cast
) -> None:
    ride_often(either, who, sessions=3, rides=4)
    avoid, park = variant(either, "avoidance", "left"), variant(either, "park")
    record(either, who, *(a_ride(who, avoid, who.session, n, faults=(CONE,)) for n in range(9)))
    record(either, who, a_ride(who, park, who.session, 20))
    (lena,) = ready(either).students
    assert [won.manoeuvre for won in lena.to_win] == [
        cost.manoeuvre for cost in lena.outlook.costs[:2]
    ]
    strips = {
        name: [ride.cone for ride in cones] for won in lena.to_win for _, name, cones in won.strips
    }
    assert strips["Hazard avoidance to the left"] == ["fallen"] * 6
    assert strips["Hazard avoidance to the right"] == []


def test_who_passed_or_rode_long_ago_or_never_is_not_in_it(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    assert names(ready(either)) == []
    record(either, who, a_ride(who, slalom, who.session))
    assert names(ready(either)) == ["Lena Wren"]
    assert names(ready(either, START + timedelta(days=91))) == []
    real_test(either, who, 3, TestResult.FAIL)
    assert names(ready(either)) == ["Lena Wren"]
    real_test(either, who, 1, TestResult.PASS)
    assert names(ready(either)) == []


def test_a_test_that_is_booked_is_shown(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=1, rides=1)
    real_test(either, who, -5, None)
    assert ready(either).students[0].test_at == START + timedelta(days=5)


def test_sessions_with_a_place_left_are_the_next_ones(either: Database, who: Cast) -> None:
    made = [coming_session(either, who, days, 2) for days in range(8, 0, -1)]
    cancelled = coming_session(either, who, 0.5, 4)
    with either.writing() as session:
        session.get_one(SessionRow, cancelled).cancelled_at = START
    found = ready(either).free
    assert [line.id for line in found] == made[::-1][:FREE_SESSIONS]
    assert {line.free for line in found} == {2}


def test_pages_go_by_the_chance_kept_with_the_last_ride(database: Database) -> None:
    furnish(database)
    add_students(database, 25)
    with database.writing() as session:
        for number in range(25):
            session.add(learner(3 + number, 0.2 + number / 100))
    first, second = ready(database), ready(database, page=2)
    assert (len(first.students), len(second.students)) == (PAGE, 5)
    assert {one.id for one in second.students} == {3, 4, 5, 6, 7}


def learner(student: int, rough: float) -> LearnerRow:
    """A student whose state is that of a beginner."""
    plain = {"mean": 0.0, "variance": 1.35, "form_mean": 0.0, "form_variance": 0.7}
    return LearnerRow(
        student_id=student,
        last_ridden_at=START,
        rough_chance=rough,
        level=0.0,
        level_variance=1.35,
        form=0.0,
        form_variance=0.7,
        state={**plain, "rides": 0, "last_at": None, "last_key": ""},
    )


def test_its_queries_do_not_grow(either: Database, who: Cast) -> None:
    numbers = []
    ride_often(either, who, sessions=1, rides=1)
    add_students(either, 30)
    for first in (5, 15):
        with counted(either) as seen:
            ready(either)
        numbers.append(len(seen))
        with either.writing() as session:
            session.add_all(learner(first + number, 0.5) for number in range(10))
    assert numbers[0] == numbers[1] <= 21
