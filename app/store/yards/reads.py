"""Yards and bikes, as the desk's screens show them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.refusal import Missing
from app.rules.yards.keeping import BikePlan, YardPlan
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class Yard:
    """A yard with the version that an edit starts from."""

    id: int
    version: int
    plan: YardPlan


@dataclass(frozen=True, slots=True)
class Bike:
    """A bike, on the road or off it since a moment for a reason."""

    id: int
    version: int
    plan: BikePlan
    off_road_since: datetime | None
    off_road_reason: str | None


def yards(session: Session) -> tuple[Yard, ...]:
    """All yards, the open ones first, then by name."""
    rows = session.scalars(select(YardRow).order_by(YardRow.open.desc(), YardRow.name))
    return tuple(_yard(row) for row in rows)


def yard(session: Session, yard_id: int) -> Yard:
    """One yard; Missing when there is none."""
    row = session.get(YardRow, yard_id)
    if row is None:
        raise Missing
    return _yard(row)


def _yard(row: YardRow) -> Yard:
    return Yard(row.id, row.version, yard_plan(row))


def yard_plan(row: YardRow) -> YardPlan:
    """The description in a row."""
    return YardPlan(
        name=row.name,
        length_m=row.length_m,
        width_m=row.width_m,
        places=row.places,
        speed_run=row.speed_run,
        avoidance_left=row.avoidance_left,
        avoidance_right=row.avoidance_right,
        remarks=row.remarks,
        open=row.open,
    )


def bikes(session: Session) -> tuple[Bike, ...]:
    """All bikes in the order in which they came to the school."""
    return tuple(_bike(row) for row in session.scalars(select(BikeRow).order_by(BikeRow.id)))


def bike(session: Session, bike_id: int) -> Bike:
    """One bike; Missing when there is none."""
    row = session.get(BikeRow, bike_id)
    if row is None:
        raise Missing
    return _bike(row)


def _bike(row: BikeRow) -> Bike:
    return Bike(row.id, row.version, bike_plan(row), row.off_road_since, row.off_road_reason)


def bike_plan(row: BikeRow) -> BikePlan:
    """The description in a row."""
    return BikePlan(
        label=row.label,
        registration=row.registration,
        category=row.category,
        capacity_cc=row.capacity_cc,
        power_kw=row.power_kw,
        kerb_kg=row.kerb_kg,
    )
