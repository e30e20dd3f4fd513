"""Safety checks and conditions: kept once, on the day, by whoever teaches the session."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from app.rules.accounts.roles import Actor
from app.rules.diary.values import Surface
from app.rules.refusal import Missing, Refused
from app.store.database import Database
from app.store.diary.tables import SessionRow
from app.store.riding import safety
from app.store.riding.around import Around, Conditions, load_around
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted

WET = Conditions(Surface.WET, True, "leaves")
DRY = Conditions(Surface.DRY, False)


def around(db: Database, session_id: int, own: int | None = None) -> Around:
    with db.reading() as session:
        return load_around(session, session_id, own)


def change(db: Database, session_id: int, **values: Any) -> None:
    with db.writing() as session:
        row = session.get_one(SessionRow, session_id)
        for name, value in values.items():
            setattr(row, name, value)


def test_a_check_is_kept_with_time_person_words_and_conditions(
    either: Database, people: Cast, ivor: Actor
) -> None:
    before = around(either, people.other_session)
    assert before.checked_at is None
    safety.confirm(either, ivor, people.other_session, WET, START)
    after = around(either, people.other_session, people.other_instructor)
    assert (after.checked_at, after.checked_by) == (START, "Ivor Plover")
    assert after.checks == before.checks
    assert after.conditions == WET
    with either.reading() as session:
        assert safety.is_checked(session, people.other_session)


def test_the_first_confirmation_stands(either: Database, people: Cast, ivor: Actor) -> None:
    safety.confirm(either, ivor, people.other_session, WET, START)
    safety.confirm(either, ivor, people.other_session, DRY, START + timedelta(hours=1))
    after = around(either, people.other_session)
    assert (after.checked_at, after.conditions) == (START, WET)


def test_conditions_change_with_the_weather(either: Database, people: Cast, ines: Actor) -> None:
    safety.say_conditions(either, ines, people.session, WET, START)
    safety.say_conditions(either, ines, people.session, DRY, START)
    assert around(either, people.session).conditions.words == "dry"


def test_a_colleagues_or_a_cancelled_session_is_not_there(
    either: Database, people: Cast, ines: Actor
) -> None:
    for write in (safety.confirm, safety.say_conditions):
        with pytest.raises(Missing):
            write(either, ines, people.other_session, DRY, START)
    with pytest.raises(Missing):
        around(either, people.other_session, people.instructor)
    change(either, people.session, cancelled_at=START)
    with pytest.raises(Missing):
        safety.say_conditions(either, ines, people.session, DRY, START)
    with pytest.raises(Missing):
        around(either, people.session)


def test_nothing_is_confirmed_before_the_day_or_without_a_surface(
    either: Database, people: Cast, ivor: Actor
) -> None:
    for write in (safety.confirm, safety.say_conditions):
        with pytest.raises(Refused, match="surface"):
            write(either, ivor, people.other_session, Conditions(None, None), START)
        with pytest.raises(Refused, match="later day"):
            write(either, ivor, people.other_session, DRY, START - timedelta(days=1))
    assert around(either, people.other_session).checked_at is None


def test_a_rider_on_a_bike_off_the_road_is_warned_of(
    either: Database, people: Cast, ines: Actor
) -> None:
    assert around(either, people.session).warnings == ()
    with either.writing() as session:
        bike = session.get_one(BikeRow, people.bike)
        bike.off_road_since, bike.off_road_reason = START, "Brakes"
    assert around(either, people.session).warnings == (
        "Lena Wren: Bike 1 is off the road (Brakes). Use another.",
    )


def test_a_session_and_what_stands_around_it_cost_two_queries(
    either: Database, people: Cast
) -> None:
    with counted(either) as statements:
        around(either, people.session)
    assert len(statements) == 2
