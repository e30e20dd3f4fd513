"""What keeps a production server from starting."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import update

from app import create_app
from app.config import BadConfig, Config, Mode, Smtp
from app.store.accounts.tables import AccountRow
from app.store.database import Database
from app.web import startup
from tests.support.cast import EMAILS, Cast
from tests.support.databases import SqliteFactory

SMTP = Smtp("mail.example.org", 587, "starttls", None, None)


def production(url: str) -> Config:
    return Config(database_url=url, secret_key="k" * 40, mode=Mode.PRODUCTION)


def test_a_school_of_real_people_starts(database: Database, url: str, people: Cast) -> None:
    startup.check(production(url), database)


def test_the_demos_people_keep_it_shut(database: Database, url: str, people: Cast) -> None:
    with database.writing() as session:
        one = update(AccountRow).where(AccountRow.email == EMAILS["stranger"])
        session.execute(one.values(email="stan@saltmarsh.example", active=False))
    with pytest.raises(BadConfig, match="invented accounts"):
        startup.check(production(url), database)
    startup.check(replace(production(url), mode=Mode.DEVELOPMENT), database)


def test_the_app_itself_refuses_to_be_built(database: Database, url: str, people: Cast) -> None:
    assert create_app(production(url))
    with database.writing() as session:
        one = update(AccountRow).where(AccountRow.email == EMAILS["stranger"])
        session.execute(one.values(email="stan@saltmarsh.example"))
    with pytest.raises(BadConfig, match="invented accounts"):
        create_app(production(url))


def test_email_without_the_schools_address_keeps_it_shut(database: Database, url: str) -> None:
    with pytest.raises(BadConfig, match="YARDMARK_BASE_URL"):
        startup.check(replace(production(url), smtp=SMTP), database)
    named = replace(production(url), smtp=SMTP, base_url="https://school.example")
    startup.check(named, database)


def test_a_database_of_another_release_keeps_it_shut(sqlite_factory: SqliteFactory) -> None:
    url = sqlite_factory.empty()
    with pytest.raises(BadConfig, match="migrate"):
        startup.check(production(url), Database(url))
