"""One write in the diary: what is over ends before it, and what became free is offered after."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from app.rules.refusal import Reason, Refused
from app.store.database import Database, Lock
from app.store.diary.offers import lapse, offer_free_places


@dataclass(frozen=True, slots=True)
class Tidied:
    """How many holds ended because their time was over, and how many places were offered."""

    lapsed: int
    offered: int

    def __bool__(self) -> bool:
        """Whether anything was done."""
        return bool(self.lapsed or self.offered)


@contextmanager
def diary(db: Database, now: datetime) -> Iterator[Session]:
    """A write that has the diary to itself. Raises Refused where the database itself says no."""
    try:
        with db.writing(Lock.DIARY) as session:
            lapse(session, now)
            yield session
            session.flush()
            offer_free_places(session, now)
    except IntegrityError as error:
        raise _plainly(error) from error


def tidy(db: Database, now: datetime) -> Tidied:
    """End the holds that are over and offer what is free; for a timer, since time passes alone."""
    try:
        with db.writing(Lock.DIARY) as session:
            return Tidied(lapse(session, now), offer_free_places(session, now))
    except IntegrityError as error:
        raise _plainly(error) from error


_REFUSALS = {
    "instructor_once": "The instructor has another session at that time.",
    "instructor is booked": "The instructor has another session at that time.",
    "student_once": "The student is booked elsewhere at that time.",
    "student is booked": "The student is booked elsewhere at that time.",
    "bike_once": "The bike is taken at that time.",
    "bike is booked": "The bike is taken at that time.",
    "no place left": "This session is full.",
    "more places are taken": "More students are booked than the session would have places.",
}
"""What migration 0013 has the databases say, and what that means to people."""


def _plainly(error: IntegrityError) -> Exception:
    said = str(error.orig)
    for part, sentence in _REFUSALS.items():
        if part in said:
            return Refused(Reason(f"{sentence} Somebody was quicker: look again."))
    return error
