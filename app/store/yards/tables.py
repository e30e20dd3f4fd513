"""Yards and bikes."""

from __future__ import annotations

from datetime import date, datetime, time

from sqlalchemy import CheckConstraint, ForeignKey, Index, Numeric
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.categories import Category
from app.store.columns import Base, words


class YardRow(Base):
    """A place to train in, lengths in metres, and which way the avoidance can be ridden there."""

    __tablename__ = "yards"
    __table_args__ = (
        CheckConstraint("length_m > 0 AND width_m > 0", name="has_size"),
        CheckConstraint("places > 0", name="has_places"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    length_m: Mapped[float] = mapped_column(Numeric(6, 1, asdecimal=False))
    width_m: Mapped[float] = mapped_column(Numeric(6, 1, asdecimal=False))
    places: Mapped[int]
    speed_run: Mapped[bool] = mapped_column(default=True)
    avoidance_left: Mapped[bool] = mapped_column(default=True)
    avoidance_right: Mapped[bool] = mapped_column(default=True)
    remarks: Mapped[str] = mapped_column(default="")
    open: Mapped[bool] = mapped_column(default=True)
    version: Mapped[int] = mapped_column(default=1)


class BikeRow(Base):
    """A training bike: engine in cc, power in kW, kerb mass in kg.

    ``reported_by`` is who took it off the road from the yard; empty when the desk did.
    """

    __tablename__ = "bikes"
    __table_args__ = (
        CheckConstraint("capacity_cc > 0 AND power_kw > 0 AND kerb_kg > 0", name="has_figures"),
        CheckConstraint(
            "(off_road_since IS NULL) = (off_road_reason IS NULL)", name="off_road_has_reason"
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    label: Mapped[str] = mapped_column(unique=True)
    registration: Mapped[str] = mapped_column(unique=True)
    category: Mapped[Category] = mapped_column(words(Category))
    capacity_cc: Mapped[int]
    power_kw: Mapped[float] = mapped_column(Numeric(5, 1, asdecimal=False))
    kerb_kg: Mapped[int]
    off_road_since: Mapped[datetime | None]
    off_road_reason: Mapped[str | None]
    reported_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    version: Mapped[int] = mapped_column(default=1)


class OpeningHoursRow(Base):
    """When the school is open on a weekday, 0 for Monday; a weekday without a row is closed.

    A school without any row has not said, and is taken to be open at any time.
    """

    __tablename__ = "opening_hours"
    __table_args__ = (
        CheckConstraint("closes > opens", name="closes_after_it_opened"),
        CheckConstraint("weekday BETWEEN 0 AND 6", name="a_weekday"),
    )

    weekday: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    opens: Mapped[time]
    closes: Mapped[time]


class ClosureRow(Base):
    """Days on which a yard is closed, both ends included; the whole school without ``yard_id``."""

    __tablename__ = "closures"
    __table_args__ = (
        CheckConstraint("last_day >= first_day", name="ends_not_before_it_began"),
        Index(None, "first_day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    yard_id: Mapped[int | None] = mapped_column(ForeignKey("yards.id"))
    first_day: Mapped[date]
    last_day: Mapped[date]
    reason: Mapped[str]
    noted_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    noted_at: Mapped[datetime]
