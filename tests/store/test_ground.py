"""The ground under the store: what both databases promise before any room is built on them."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import DBAPIError

from app.rules.accounts.roles import system
from app.store import audit, settings
from app.store.audit import AuditEntryRow
from app.store.database import Database, Lock
from app.store.settings import SettingRow
from app.store.yards.tables import YardRow
from tests.support import cast
from tests.support.clock import START

BY = system("test")


def test_a_moment_without_a_time_zone_is_refused(either: Database) -> None:
    with pytest.raises(Exception, match="without a time zone"), either.writing() as session:
        audit.record(session, BY, datetime(2026, 11, 26, 9), "seen", "yards", 1)


def test_a_moment_comes_back_as_it_went_in(either: Database) -> None:
    with either.writing() as session:
        audit.record(session, BY, START, "seen", "yards", 1)
    with either.reading() as session:
        assert session.scalars(select(AuditEntryRow.at)).one() == START


def test_a_write_that_fails_leaves_nothing(either: Database) -> None:
    with pytest.raises(RuntimeError), either.writing() as session:
        session.add(YardRow(name="Half", length_m=10, width_m=10, places=1))
        session.flush()
        raise RuntimeError
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(YardRow)) == 0


def test_a_reference_to_nothing_is_refused(either: Database) -> None:
    with pytest.raises(DBAPIError), either.writing() as session:
        session.execute(text("INSERT INTO account_roles (account_id, role) VALUES (99, 'desk')"))


def test_a_word_outside_the_list_is_refused(either: Database) -> None:
    cast.make(either, START)
    with pytest.raises(DBAPIError), either.writing() as session:
        session.execute(text("UPDATE students SET category = 'Z'"))


@pytest.mark.parametrize(
    "verb", ["UPDATE audit_entries SET action = 'x'", "DELETE FROM audit_entries"]
)
def test_the_audit_only_grows(either: Database, verb: str) -> None:
    with either.writing() as session:
        audit.record(session, BY, START, "seen", "yards", 1)
    with pytest.raises(DBAPIError, match="never"), either.writing() as session:
        session.execute(text(verb))


def test_settings_survive_a_key_of_a_later_release(either: Database) -> None:
    with either.writing() as session:
        settings.save(session, settings.load(session))
        session.add(SettingRow(key="from_the_future", value=1))
    with either.reading() as session:
        assert settings.load(session).clean_in_a_row == 3


def test_numbers_that_are_read_and_then_used_are_never_doubled(either: Database) -> None:
    def add(_turn: int) -> None:
        with either.writing(Lock.DIARY) as session:
            number = session.scalar(select(func.count()).select_from(YardRow))
            session.add(YardRow(name=f"Yard {number}", length_m=1, width_m=1, places=1))

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(add, range(80)))
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(YardRow)) == 80
