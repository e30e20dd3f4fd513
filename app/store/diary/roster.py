"""Whose time the diary shows: instructors, yards and bikes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.showing import By, Showing
from app.rules.refusal import Missing
from app.store.people.tables import InstructorRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class Member:
    """An instructor, a yard or a bike. ``out`` says why it cannot be used at all, if so."""

    showing: Showing
    name: str
    about: str
    out: str | None

    @property
    def id(self) -> int:
        """Its number among its kind."""
        return self.showing.id or 0


@dataclass(frozen=True, slots=True)
class Roster:
    """Everyone and everything that has a time of its own, each kind in its own order."""

    members: tuple[Member, ...]

    def of(self, by: By) -> tuple[Member, ...]:
        """All of a kind."""
        return tuple(each for each in self.members if each.showing.by is by)

    def one(self, showing: Showing) -> Member:
        """The one that is shown; Missing when there is none."""
        for each in self.members:
            if each.showing == showing:
                return each
        raise Missing


def roster(session: Session) -> Roster:
    """All instructors, yards and bikes, also those that are not in use. Three queries."""
    instructors = session.scalars(select(InstructorRow).order_by(InstructorRow.id))
    yards = session.scalars(select(YardRow).order_by(YardRow.id))
    bikes = session.scalars(select(BikeRow).order_by(BikeRow.id))
    return Roster((*map(_instructor, instructors), *map(_yard, yards), *map(_bike, bikes)))


def _member(by: By, row: Any, name: str, about: str, out: str | None) -> Member:
    return Member(Showing(by, row.id), name, about, out)


def _instructor(row: InstructorRow) -> Member:
    out = None if row.active else "does not teach here now"
    return _member(By.INSTRUCTOR, row, row.name, "", out)


def _yard(row: YardRow) -> Member:
    places = f"{row.places} riders at once"
    return _member(By.YARD, row, row.name, places, None if row.open else "closed")


def _bike(row: BikeRow) -> Member:
    out = f"off the road: {row.off_road_reason}" if row.off_road_since else None
    return _member(By.BIKE, row, row.label, f"category {row.category}", out)
