"""What a request has at hand: the database, the time, the person, the school's settings."""

from __future__ import annotations

from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from flask import Flask, current_app, g, request
from flask_login import current_user

from app.config import Config
from app.rules.accounts.access import Scope
from app.rules.accounts.roles import Actor
from app.rules.settings import SchoolSettings
from app.store import settings as settings_store
from app.store.database import Database, Session


def config() -> Config:
    """The configuration that the app was built with."""
    return cast(Config, current_app.extensions["yardmark_config"])


def own_address() -> str:
    """Where the school is reached from outside: as configured, else as this request came in."""
    return config().base_url or request.host_url


def database() -> Database:
    """The school's database, for writes."""
    return cast(Database, current_app.extensions["yardmark_database"])


def reading() -> Session:
    """This request's one session for reads, opened at its first use and closed at its end."""
    if "reading" not in g:
        g.reading = database().read_session()
    return cast(Session, g.reading)


def now() -> datetime:
    """The moment of this request, the same for all that happens in it (UTC)."""
    if "now" not in g:
        g.now = config().clock()
    return cast(datetime, g.now)


def settings() -> SchoolSettings:
    """The school's settings, read once in a request."""
    if "settings" not in g:
        g.settings = settings_store.load(reading())
    return cast(SchoolSettings, g.settings)


def zone() -> ZoneInfo:
    """The school's time zone."""
    return ZoneInfo(settings().time_zone)


def today() -> date:
    """The date at the school."""
    return now().astimezone(zone()).date()


def actor() -> Actor:
    """The person who is signed in. Only for screens behind the gate."""
    return cast(Actor, current_user.actor)


def signed_in() -> Actor | None:
    """The person who is signed in, or None on an open screen."""
    return actor() if current_user.is_authenticated else None


def scope() -> Scope:
    """Whose records this screen may find for this person, as the gate decided."""
    return cast(Scope, g.scope)


def sees_everyone() -> bool:
    """Whether this screen finds every record for this person. False on an open screen."""
    return bool(g.get("scope") is Scope.ALL)


def close_reading(_error: BaseException | None) -> None:
    """Give the read session back at the end of a request."""
    session = g.pop("reading", None)
    if session is not None:
        session.close()


def install(app: Flask, app_config: Config, school: Database) -> None:
    """Hang the configuration and the database on the app."""
    app.extensions["yardmark_config"] = app_config
    app.extensions["yardmark_database"] = school
    app.teardown_appcontext(close_reading)
