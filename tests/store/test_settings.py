"""The school's settings within one session: read once, and anew after they were kept."""

from __future__ import annotations

from dataclasses import replace

from app.store import settings
from app.store.database import Database
from tests.support.cast import Cast
from tests.support.diary import add_session, book
from tests.support.queries import counted


def test_one_write_reads_them_once_however_many_rules_ask(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    with counted(either) as asked:
        book(either, training, people.learner, people.bike)
    assert len([one for one in asked if "FROM settings" in one]) == 1


def test_what_was_just_kept_is_in_force_at_once(either: Database) -> None:
    with either.writing() as session:
        before = settings.load(session)
        settings.save(session, replace(before, notice_hours=7))
        assert settings.load(session).notice_hours == 7
        settings.keep(session, "notice_hours", 9)
        assert settings.load(session).notice_hours == 9
    with either.reading() as session:
        assert settings.load(session).notice_hours == 9
