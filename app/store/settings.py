"""The school's own figures, one row each, over the values that the rules start from."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from sqlalchemy import JSON, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.rules.settings import SchoolSettings
from app.store.columns import Base


class SettingRow(Base):
    """One setting that the school has made its own."""

    __tablename__ = "settings"

    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(JSON)


_ASKED = "school settings"


def load(session: Session) -> SchoolSettings:
    """The settings in force; a key of a later release is passed over.

    One query for each session, however many rules of one write ask.
    """
    if _ASKED not in session.info:
        session.info[_ASKED] = _read(session)
    asked: SchoolSettings = session.info[_ASKED]
    return asked


def _read(session: Session) -> SchoolSettings:
    known = {field.name for field in fields(SchoolSettings)}
    rows = session.scalars(select(SettingRow))
    return SchoolSettings(**{row.key: row.value for row in rows if row.key in known})


def save(session: Session, settings: SchoolSettings) -> None:
    """Keep every setting as given, in the caller's transaction."""
    session.info.pop(_ASKED, None)
    for key, value in asdict(settings).items():
        session.merge(SettingRow(key=key, value=value))


def keep(session: Session, key: str, value: object) -> None:
    """Keep one setting, in the caller's transaction."""
    session.info.pop(_ASKED, None)
    session.merge(SettingRow(key=key, value=value))
