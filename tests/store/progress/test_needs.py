"""What a student is to practise next decides which yards will do."""

from __future__ import annotations

from app.store import settings
from app.store.database import Database
from app.store.progress.needs import needs_of
from app.store.riding.course import load_course
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, past_session, record, ride_often, timed, variant


def needs(database: Database, student: int) -> list[tuple[str, str, bool]]:
    """The manoeuvre, the variant, and whether it starts with a run at speed."""
    with database.reading() as session:
        found = needs_of(session, student, START, settings.load(session))
    return [(one.name, one.variant, one.speed_run) for one in found]


def test_a_beginner_asks_nothing_of_a_yard(either: Database, people: Cast) -> None:
    assert needs(either, people.learner) == []


def test_what_was_ridden_and_is_not_steady_is_needed(either: Database, people: Cast) -> None:
    left = variant(either, "avoidance", "left")
    training = past_session(either, people, days=3)
    record(either, people, a_ride(people, left, training, days=3, faults=(CONE,), **timed(51)))
    assert needs(either, people.learner) == [("Hazard avoidance to the left", "left", True)]
    assert needs(either, people.stranger) == []


def test_the_next_new_manoeuvre_is_needed_too(either: Database, people: Cast) -> None:
    """Whoever has ridden everything before the controlled stop comes to it next."""
    with either.reading() as session:
        course = load_course(session).variants
    slow = [one.id for one in course if not one.manoeuvre.speed_run]
    training = past_session(either, people, days=2)
    rides = [a_ride(people, one, training, 3 * n, days=2) for n, one in enumerate(slow)]
    record(either, people, *rides)
    assert needs(either, people.learner) == [("Controlled stop", "only", True)]


def test_it_asks_nine_times_however_much_was_ridden(either: Database, people: Cast) -> None:
    ride_often(either, people, sessions=3, rides=6)
    with either.reading() as session:
        school = settings.load(session)
        with counted(either) as seen:
            needs_of(session, people.learner, START, school)
    assert len(seen) == 9
