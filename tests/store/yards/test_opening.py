"""Opening hours and closures as they are kept."""

from __future__ import annotations

from datetime import time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.people.hours import hours_version
from app.rules.refusal import Missing, Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.yards import opening
from tests.support.calendar import TODAY, close, every_day, set_opening
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK


def _last_entry(database: Database) -> AuditEntryRow:
    with database.reading() as session:
        query = select(AuditEntryRow).order_by(AuditEntryRow.id.desc()).limit(1)
        return session.scalars(query).one()


def test_opening_hours_are_kept_and_changed_day_by_day(either: Database) -> None:
    assert set_opening(either, every_day()[1:]) == 6
    with either.reading() as session:
        assert opening.opening_hours(session) == every_day()[1:]
    longer = (*every_day()[1:6], WeeklyHours(6, time(10), time(15)))
    set_opening(either, longer)
    with either.reading() as session:
        assert opening.opening_hours(session) == longer
    entry = _last_entry(either)
    assert (entry.action, entry.subject) == ("changed", "opening_hours")
    assert entry.details == {"day_6": ["09:00 to 17:00", "10:00 to 15:00"]}


def test_a_school_may_stop_saying_when_it_is_open(either: Database) -> None:
    set_opening(either, every_day())
    assert set_opening(either, ()) == 0
    with either.reading() as session:
        assert opening.opening_hours(session) == ()


def test_of_two_who_change_the_hours_the_second_is_told(either: Database) -> None:
    nothing = hours_version(())
    opening.set_opening_hours(either, DESK, nothing, every_day(), START)
    with pytest.raises(Refused, match="Someone changed this"):
        opening.set_opening_hours(either, DESK, nothing, every_day(time(8)), START)
    with either.reading() as session:
        assert opening.opening_hours(session) == every_day()


def test_closures_are_listed_until_they_are_over(either: Database, people: Cast) -> None:
    school = close(either, TODAY, reason="Frost")
    yard = close(either, TODAY, TODAY + timedelta(days=3), people.yard, "New markings")
    with either.reading() as session:
        found = opening.closures(session, TODAY)
        assert [(one.id, one.where) for one in found] == [
            (school, "The whole school"),
            (yard, "Long yard"),
        ]
        assert [one.id for one in opening.closures(session, TODAY + timedelta(days=1))] == [yard]
        assert opening.closures(session, TODAY + timedelta(days=4)) == ()
        assert opening.closure(session, yard) == found[1]


def test_a_closure_is_taken_away_once(either: Database) -> None:
    made = close(either)
    opening.take_closure_away(either, DESK, made, START)
    assert _last_entry(either).action == "took away"
    with pytest.raises(Missing):
        opening.take_closure_away(either, DESK, made, START)
    with either.reading() as session, pytest.raises(Missing):
        opening.closure(session, made)


def test_a_form_sent_twice_closes_once(either: Database) -> None:
    key, out = uuid4(), DaysOut(TODAY, TODAY, "Frost")
    ids = {opening.add_closure(either, DESK, out, key, TODAY, START) for _ in range(2)}
    assert len(ids) == 1
    with either.reading() as session:
        assert len(opening.closures(session, TODAY)) == 1


def test_a_closure_that_cannot_be_is_refused_and_leaves_nothing(either: Database) -> None:
    for arguments in (
        {"reason": ""},
        {"first": TODAY, "last": TODAY - timedelta(days=1)},
        {"yard": 999},
    ):
        with pytest.raises(Refused):
            close(either, **arguments)
    with either.reading() as session:
        assert opening.closures(session, TODAY) == ()
