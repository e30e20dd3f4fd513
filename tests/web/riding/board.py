"""The board as the tests press it."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from app.store.database import Database
from app.store.riding.course import load_course
from app.store.riding.tables import AttemptFaultRow, AttemptRow, FaultKindRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor


def variant_id(db: Database, manoeuvre: str, code: str = "only") -> int:
    """The id of a variant by the codes of its manoeuvre and its own."""
    with db.reading() as session:
        variants = load_course(session).variants
    return next(v.id for v in variants if (v.manoeuvre.code, v.variant.code) == (manoeuvre, code))


class Board:
    """Lena's place on the board of Ines's session, on one manoeuvre."""

    def __init__(self, visitor: Visitor, db: Database, people: Cast) -> None:
        self.visitor, self.db, self.people = visitor, db, people

    def path(self, manoeuvre: str = "slalom", code: str = "only") -> str:
        """Where the board stands with Lena on a manoeuvre."""
        variant = variant_id(self.db, manoeuvre, code)
        session, rider = self.people.session, self.people.learner
        return f"/yard/sessions/{session}?rider={rider}&variant={variant}"

    def open(self, manoeuvre: str = "slalom", code: str = "only") -> Page:
        """Open the board with Lena on a manoeuvre."""
        return self.visitor.get(self.path(manoeuvre, code))

    def press(
        self, press: str, manoeuvre: str = "slalom", status: int = 200, **values: Any
    ) -> Page:
        """Press Clean or Record the fault, with what else was chosen."""
        sent = {"press": press, **values}
        return self.visitor.submit(self.open(manoeuvre), sent, "/yard/sessions/", status)

    def rides(self) -> list[AttemptRow]:
        """The rides that were kept."""
        with self.db.reading() as session:
            return list(session.scalars(select(AttemptRow).order_by(AttemptRow.ridden_at)))

    def faults(self) -> list[tuple[Any, ...]]:
        """What was seen in the rides: kind, severity and side."""
        with self.db.reading() as session:
            found = session.execute(
                select(FaultKindRow.code, AttemptFaultRow.severity, AttemptFaultRow.side)
                .join(FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
                .order_by(AttemptFaultRow.place)
            )
            return [tuple(each) for each in found]
