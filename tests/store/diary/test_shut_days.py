"""What needs a look at the desk because of closures, days off and authorisations."""

from __future__ import annotations

from datetime import timedelta

from app.rules.people.authorisations import Authorisation
from app.store.database import Database
from app.store.diary.attention import Attention, attention
from app.store.diary.shut_days import NOTICE, RunningOut
from app.store.people import writes
from app.store.yards import opening
from tests.support.calendar import TODAY, close, days_off, set_instructor
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted


def _look(database: Database) -> Attention:
    with database.reading() as session:
        return attention(session, START, LONDON)


def test_what_stands_on_a_closure_or_a_day_off_needs_a_look_until_it_is_seen_to(
    either: Database, people: Cast
) -> None:
    made = add_session(either, people, day=TOMORROW + timedelta(days=1))
    book(either, made, people.learner, people.bike)
    close(either, TOMORROW + timedelta(days=5))  # nothing stands there
    shut = close(either, TOMORROW, TOMORROW + timedelta(days=2), people.yard)
    days_off(either, people.instructor, TOMORROW, TOMORROW + timedelta(days=1))
    days_off(either, people.other_instructor, TOMORROW)
    found = [(one.who, one.standing.sessions, one.standing.students) for one in _look(either).shut]
    assert found == [("Long yard", 1, 1), ("Ines Heron", 1, 1)]
    opening.take_closure_away(either, DESK, shut, START)
    assert [one.who for one in _look(either).shut] == ["Ines Heron"]


def test_an_authorisation_needs_a_look_eight_weeks_before_it_ends(
    either: Database, people: Cast
) -> None:
    soon, late = TODAY + NOTICE, TODAY + NOTICE + timedelta(days=1)
    yesterday = TODAY - timedelta(days=1)
    ends = {Authorisation.CBT: soon, Authorisation.DIRECT_ACCESS: late}
    set_instructor(either, people.instructor, authorisations=ends)
    gone = {Authorisation.CBT: yesterday, Authorisation.DIRECT_ACCESS: None}
    set_instructor(either, people.other_instructor, authorisations=gone)
    assert _look(either).running_out == (
        RunningOut(people.other_instructor, "Ivor Plover", Authorisation.CBT, yesterday),
        RunningOut(people.instructor, "Ines Heron", Authorisation.CBT, soon),
    )
    writes.set_teaching(either, DESK, people.other_instructor, START, active=False)
    assert [one.instructor for one in _look(either).running_out] == ["Ines Heron"]


def test_the_look_is_a_fixed_number_of_queries(either: Database, people: Cast) -> None:
    def queries() -> int:
        with counted(either) as seen:
            _look(either)
        return len(seen)

    days_off(either, people.instructor)
    few = queries()
    for number in range(10):
        close(either, TOMORROW + timedelta(days=number))
        add_session(either, people, day=TOMORROW + timedelta(days=60 + number), places=2)
        close(either, TOMORROW + timedelta(days=60 + number))
    assert queries() == few == 9
