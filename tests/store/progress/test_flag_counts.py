"""How many flags there are under one rule or another."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from app.rules.progress.target import Standing
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.progress.flag_counts import FlagCount, flag_counts
from app.store.progress.reads import student_progress
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import ride_often

NOW = SchoolSettings()
LAX = replace(NOW, clean_in_a_row=1, over_sessions=1, chance=0.5)


def count(
    database: Database, *several: SchoolSettings, now: datetime = START
) -> tuple[FlagCount, ...]:
    """The counts under each of these settings."""
    with database.reading() as session:
        return flag_counts(session, several, now)


def test_the_counts_are_those_of_the_students_own_pages(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=6, rides=5)
    for settings, found in zip((NOW, LAX), count(either, NOW, LAX), strict=True):
        standings = []
        for student in (who.learner, who.stranger):
            with either.reading() as session:
                progress = student_progress(session, student, START, settings)
            standings += [v.assessment.standing for m in progress.manoeuvres for v in m.variants]
        assert found.students == 2
        assert found.by_standing == {each: standings.count(each) for each in Standing}
        assert found.flags == sum(one is not Standing.STEADY for one in standings)


def test_a_laxer_rule_has_fewer_flags(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=6, rides=5)
    strict, lax = count(either, NOW, LAX)
    assert lax.flags < strict.flags


def test_who_is_not_learning_now_has_no_flags(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=2, rides=2)
    (found,) = count(either, NOW, now=START + timedelta(days=200))
    assert (found.students, found.flags) == (0, 0)


def test_its_queries_do_not_grow(either: Database, who: Cast) -> None:
    numbers = []
    for _ in range(2):
        with counted(either) as seen:
            count(either, NOW, LAX)
        numbers.append(len(seen))
        ride_often(either, who, sessions=3, rides=3)
    assert numbers[0] == numbers[1] <= 5
