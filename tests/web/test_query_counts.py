"""Every page asks the database a fixed number of questions, however much there is to show."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from werkzeug.routing import Rule

from app.rules.accounts.access import ACCESS
from app.rules.accounts.roles import Actor, Role
from app.store import settings
from app.store.database import Database
from app.store.school.writes import change_settings
from tests.support import diary, riding
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.walk import School, build

WHO = {
    Role.OWNER: "owner",
    Role.DESK: "desk",
    Role.INSTRUCTOR: "instructor",
    Role.STUDENT: "learner",
}
FEW, MANY = 1, 4


@pytest.fixture(scope="module")
def schools(tmp_path_factory: pytest.TempPathFactory) -> tuple[School, School]:
    """A school with a little of everything, and one with several times as much."""
    few, many = (_grown(tmp_path_factory.mktemp("counts"), size) for size in (FEW, MANY))
    return few, many


def _grown(folder: Path, size: int) -> School:
    school = build(folder)
    school.restore()
    database = Database(f"sqlite:///{school.path}")
    diary.fill(database, school.people, days=2 * size)
    riding.ride_often(database, school.people, sessions=2 * size, rides=size)
    for number in range(size):
        _change(database, number)
    with database.reading() as session:
        session.connection().exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    database.close()
    shutil.copy(school.path, school.template)
    return school


def _change(database: Database, number: int) -> None:
    owner = Actor(None, "test", frozenset({Role.OWNER}), "test")
    with database.reading() as session:
        now = settings.load(session)
    change_settings(database, owner, replace(now, within_days=30 + number), START)


def _pages() -> Iterator[tuple[str, Role]]:
    for endpoint, roles in ACCESS.items():
        yield from ((endpoint, role) for role in roles)


def _rule(school: School, endpoint: str) -> Rule | None:
    rules = school.app.url_map.iter_rules(endpoint)
    return next((rule for rule in rules if "GET" in (rule.methods or ())), None)


def _asked(school: School, rule: Rule, role: Role) -> tuple[int, int]:
    """The status of a page and how many statements it ran."""
    adapter = school.app.url_map.bind("localhost")
    values = {name: school.own[name] for name in rule.arguments}
    path = adapter.build(rule.endpoint, values)
    with counted(school.app.extensions["yardmark_database"]) as statements:
        response = school.visit(WHO[role], "GET", path)
    return response.status_code, len(statements)


@pytest.mark.parametrize(("endpoint", "role"), [*_pages()])
def test_more_to_show_is_not_more_to_ask(
    schools: tuple[School, School], endpoint: str, role: Role
) -> None:
    few, many = schools
    rule = _rule(few, endpoint)
    if rule is None:
        return  # it only takes what a form sends
    asked = _asked(few, rule, role)
    assert asked[1] > 0
    assert _asked(many, rule, role) == asked
