"""Column types and the base class that every table of the school shares."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from typing import Any, ClassVar

from sqlalchemy import DateTime, Dialect, Enum, MetaData
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Instant(TypeDecorator[datetime]):
    """An aware moment, kept in UTC on both databases. A naive datetime is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware moment into what the database keeps; ValueError when it is naive."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment without a time zone cannot be kept")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give back the moment as an aware UTC datetime."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """The base of all tables."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map: ClassVar = {datetime: Instant}


def words(enum: type[StrEnum]) -> Enum:
    """A column that holds one of an enum's words, checked by the database itself."""
    return Enum(
        enum,
        native_enum=False,
        create_constraint=True,
        length=24,
        name=_snake(enum.__name__),
        values_callable=_values,
    )


def _values(enum: Any) -> list[str]:
    return [member.value for member in enum]


def _snake(name: str) -> str:
    return "".join(f"_{c.lower()}" if c.isupper() else c for c in name).lstrip("_")
