"""One ride with all that is kept around it, on both databases."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from app.rules.accounts.roles import Actor
from app.rules.diary.values import Surface
from app.rules.refusal import Missing
from app.store.database import Database
from app.store.diary.tables import SessionRow
from app.store.riding.one_ride import load_ride
from tests.store.riding.rides import keep, ride
from tests.support.cast import Cast

ZONE = ZoneInfo("Europe/London")


def test_it_is_found_by_the_instructor_of_its_session_and_by_no_other(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people)
    keep(either, ines, one)
    with either.reading() as session:
        found = load_ride(session, one.attempt_id, people.instructor, ZONE)
        assert (found.line.attempt_id, found.rider) == (one.attempt_id, "Lena Wren")
        with pytest.raises(Missing):
            load_ride(session, one.attempt_id, people.other_instructor, ZONE)
        with pytest.raises(Missing):
            load_ride(session, uuid4(), None, ZONE)


def test_it_stands_with_the_conditions_the_recorder_and_the_wrong_clock(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = replace(ride(either, people), skew_seconds=3 * 3600 + 120)
    keep(either, ines, one)
    with either.writing() as session:
        session.get_one(SessionRow, people.session).surface = Surface.WET
    with either.reading() as session:
        found = load_ride(session, one.attempt_id, None, ZONE)
    assert (found.conditions, found.recorded_by) == ("wet", ines.name)
    assert found.line.clock == (
        "The tablet's clock was 3 h 2 min fast. The time above is put right."
    )
