"""A defect seen in the yard takes the bike off the road, and the desk sees it."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Refused
from app.store.database import Database
from app.store.diary.attention import Attention, attention
from app.store.yards import writes
from app.store.yards.reads import Bike, bike
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK

LATER = START + timedelta(hours=3)


@pytest.fixture
def ines(people: Cast) -> Actor:
    roles = frozenset({Role.INSTRUCTOR})
    return Actor(people.instructor_account, "Ines Heron", roles, "test")


def read(db: Database, bike_id: int) -> Bike:
    with db.reading() as session:
        return bike(session, bike_id)


def look(db: Database) -> Attention:
    with db.reading() as session:
        return attention(session, LATER, ZoneInfo("Europe/London"))


def test_it_takes_the_bike_off_the_road_until_the_desk_clears_it(
    either: Database, people: Cast, ines: Actor
) -> None:
    writes.report_defect(either, ines, people.bike, "Brakes", uuid4(), START)
    found = read(either, people.bike)
    assert (found.off_road_since, found.off_road_reason) == (START, "Brakes")
    (defect,) = look(either).defects
    assert (defect.bike, defect.reason, defect.reported_by) == ("Bike 1", "Brakes", "Ines Heron")
    writes.put_back_on_road(either, DESK, people.bike, found.version, LATER)
    assert read(either, people.bike).off_road_since is None
    assert look(either).defects == ()


def test_a_second_defect_is_added_and_the_same_form_counts_once(
    either: Database, people: Cast, ines: Actor
) -> None:
    key = uuid4()
    for _ in range(2):
        writes.report_defect(either, ines, people.bike, "Brakes", key, START)
    writes.report_defect(either, ines, people.bike, "Chain", uuid4(), LATER)
    found = read(either, people.bike)
    assert (found.off_road_since, found.off_road_reason) == (START, "Brakes; Chain")


def test_what_the_desk_took_off_itself_is_no_news_to_it(either: Database, people: Cast) -> None:
    version = read(either, people.bike).version
    writes.take_off_road(either, DESK, people.bike, version, "Service", START)
    assert look(either).defects == ()


def test_no_defect_and_no_such_bike_are_refused(
    either: Database, people: Cast, ines: Actor
) -> None:
    with pytest.raises(Refused, match="Choose what is wrong"):
        writes.report_defect(either, ines, people.bike, "", uuid4(), START)
    with pytest.raises(Missing):
        writes.report_defect(either, ines, 12345, "Brakes", uuid4(), START)
    assert read(either, people.bike).off_road_since is None
