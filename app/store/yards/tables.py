"""Yards and bikes."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Numeric
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
