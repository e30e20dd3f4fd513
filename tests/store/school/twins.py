"""A student who is on file twice, for tests of making two records one."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

from app.rules.categories import Category
from app.rules.people.students import StudentFacts
from app.rules.school.merging import Pick
from app.store.database import Database
from app.store.people import reads, writes
from app.store.school.merging import Merger, merge
from tests.support.clock import START
from tests.support.diary import DESK

TODAY = date(2026, 11, 26)
TWIN = StudentFacts("Lena Wrenn", Category.A2, "01632 960009", "lena@example.net", notes="Tall.")


def add_twin(database: Database, facts: StudentFacts = TWIN) -> int:
    return writes.add_student(database, DESK, facts, uuid4(), TODAY, START, as_new=True)


def make_one(database: Database, kept: int, other: int, **picks: Pick) -> int:
    with database.reading() as session:
        ours, theirs = (reads.student(session, each).version for each in (kept, other))
    return merge(database, DESK, Merger(kept, other, ours, theirs, picks), TODAY, START)
