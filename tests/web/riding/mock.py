"""A mock test as the tests press their way through it."""

from __future__ import annotations

from uuid import UUID

from sqlalchemy import select

from app.store.database import Database
from app.store.riding.tables import AttemptRow, MockTestRow
from tests.support.cast import Cast
from tests.support.client import Page, Values, Visitor
from tests.support.clock import Clock

MANOEUVRES = (
    "Park in the bay",
    "Wheel into the next bay",
    "Slalom",
    "Figure of 8",
    "Slow ride",
    "U-turn",
    "Controlled stop",
    "Emergency stop",
    "Hazard avoidance to the left",
)
AT_50: Values = {"speed": "51", "source": "gate"}
TIMED = MANOEUVRES[-2:]


class MockTest:
    """Lena's mock test in Ines's session."""

    def __init__(self, visitor: Visitor, db: Database, people: Cast, clock: Clock) -> None:
        self.visitor, self.db, self.people, self.clock = visitor, db, people, clock

    @property
    def start_path(self) -> str:
        """Where it begins."""
        return f"/yard/sessions/{self.people.session}/riders/{self.people.learner}/mock-test"

    def begin(self, side: str = "left") -> Page:
        """Begin it; the first manoeuvre's screen."""
        return self.visitor.send(self.start_path, {"side": side}, "/mock-test")

    def path(self, rest: str = "") -> str:
        """Where the one that began last stands."""
        return f"/yard/mock-tests/{self.row().id}{rest}"

    def clean(self, page: Page, **values: str) -> Page:
        """Go on with a clean ride, a minute later."""
        return self.send(page, {"press": "clean", **values})

    def fault(self, page: Page, fault: str = "stall", **values: str) -> Page:
        """Record a fault, a minute later."""
        return self.send(page, {"press": "faults", "fault": fault, **values})

    def send(self, page: Page, values: Values, status: int = 200) -> Page:
        """Send the page of a manoeuvre."""
        self.clock.forward(minutes=1)
        return self.visitor.submit(page, values, "/rides", status)

    def clean_up_to(self, page: Page, name: str) -> Page:
        """Clean rides until a manoeuvre is next."""
        for before in MANOEUVRES[: MANOEUVRES.index(name)]:
            page = self.clean(page, **(AT_50 if before in TIMED else {}))
        assert name in page.text
        return page

    def all_clean(self) -> Page:
        """Begin, and ride everything clean; the page that can end it."""
        page = self.clean_up_to(self.begin(), MANOEUVRES[-1])
        return self.clean(page, **AT_50)

    def row(self) -> MockTestRow:
        """What is kept of the one that began last."""
        with self.db.reading() as session:
            query = select(MockTestRow).order_by(MockTestRow.started_at.desc())
            return session.scalars(query.limit(1)).one()

    def rides(self, *, struck: bool = False) -> list[AttemptRow]:
        """The rides of mock tests that count, or those struck out."""
        with self.db.reading() as session:
            query = select(AttemptRow).where(AttemptRow.mock_test_id.is_not(None))
            which = AttemptRow.struck_at.is_not(None) if struck else AttemptRow.struck_at.is_(None)
            return list(session.scalars(query.where(which).order_by(AttemptRow.ridden_at)))


def ended_test(db: Database) -> UUID:
    """The id of the only mock test."""
    with db.reading() as session:
        return session.scalars(select(MockTestRow.id)).one()
