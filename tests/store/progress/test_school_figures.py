"""The school's own figures in the database: found, kept, and what follows from them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.rules.accounts.roles import system
from app.rules.refusal import Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.progress.school_figures import (
    Finding,
    find_figures,
    keep_figures,
    shown_figures,
)
from app.store.progress.states import parameters, shipped
from app.store.progress.tables import SchoolFigureRow
from app.store.progress.writes import rebuild
from tests.store.progress.kept import rows, same
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.crowd import crowd
from tests.support.queries import counted
from tests.support.riding import variant

BY = system("estimate-school")


def find(database: Database) -> Finding:
    """What the school's rides say now."""
    with database.reading() as session:
        return find_figures(session, START)


def test_few_students_are_told_and_nothing_is_estimated(either: Database, who: Cast) -> None:
    crowd(either, who, students=3, rides=8)
    with pytest.raises(Refused, match="There are 24 rides of 3 students so far"):
        find(either)


def test_before_anything_is_kept_the_shipped_figures_stand(either: Database, who: Cast) -> None:
    with either.reading() as session:
        assert parameters(session) == shipped(session)


def test_what_the_rides_say_is_kept_and_every_standing_follows(either: Database, who: Cast) -> None:
    crowd(either, who, students=12, rides=40)
    u_turn, park = variant(either, "u_turn"), variant(either, "park")
    finding = find(either)
    assert finding.worth_keeping
    assert keep_figures(either, BY, finding, START) == 12 + 2
    with either.reading() as session:
        now, before = parameters(session), shipped(session)
        kept = session.get_one(SchoolFigureRow, u_turn)
        entry = session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id.desc())).first()
    assert now.skill(u_turn).ease < before.skill(u_turn).ease - 0.3
    assert now.skill(park) == before.skill(park)
    assert now == finding.found.parameters
    assert (kept.rides, kept.students, kept.estimated_at) == (12 * 10, 12, START)
    assert entry is not None
    assert (entry.action, entry.subject) == ("estimated", "school_figures")
    assert entry.details["rides"] == 12 * 40
    stepped = rows(either)
    rebuild(either)
    assert same(stepped, rows(either))


def test_the_second_time_nothing_changes(either: Database, who: Cast) -> None:
    crowd(either, who, students=12, rides=20)
    keep_figures(either, BY, find(either), START)
    again = find(either)
    assert (again.changes, again.held_out, again.shift) == ((), None, None)
    assert not again.worth_keeping


def test_a_manoeuvre_no_longer_ridden_goes_back_to_what_was_shipped(
    either: Database, who: Cast
) -> None:
    crowd(either, who, students=12, rides=20)
    finding = find(either)
    slalom = variant(either, "slalom")
    with either.writing() as session:
        session.add(
            SchoolFigureRow(
                variant_id=variant(either, "park"),
                ease=3.0,
                practice=0.1,
                rides=1,
                students=1,
                estimated_at=START - timedelta(days=1),
            )
        )
    keep_figures(either, BY, finding, START)
    with either.reading() as session:
        assert set(session.scalars(select(SchoolFigureRow.variant_id))) >= {slalom}
        assert len(session.scalars(select(SchoolFigureRow)).all()) == 4


def test_reading_them_takes_one_query_and_finding_them_does_not_grow(
    database: Database, people: Cast
) -> None:
    crowd(database, people, students=12, rides=20)
    numbers = []
    for _ in range(2):
        with counted(database) as seen:
            finding = find(database)
        numbers.append(len(seen))
        keep_figures(database, BY, finding, START)
        crowd(database, people, students=10, rides=24, seed=2)
        with counted(database) as seen, database.reading() as session:
            parameters(session)
        assert len(seen) == 1
    assert numbers[0] == numbers[1]


def test_the_figures_in_force_are_shown_beside_those_that_were_shipped(
    either: Database, who: Cast
) -> None:
    with either.reading() as session:
        before = shown_figures(session)
    assert before.estimated_at is None
    assert all(one.first == one.shipped and one.rides is None for one in before.figures)
    crowd(either, who, students=12, rides=40)
    keep_figures(either, BY, find(either), START)
    with counted(either) as seen, either.reading() as session:
        after = shown_figures(session)
    assert len(seen) == 9
    assert after.estimated_at == START
    named = {one.name: one for one in after.figures}
    assert (named["U-turn"].rides, named["U-turn"].students) == (120, 12)
    assert named["U-turn"].first < named["U-turn"].shipped
    assert named["Park in the bay"].rides is None
