"""A school with more students than the cast, put straight into the tables."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from random import Random
from uuid import UUID

from sqlalchemy import insert

from app.rules.categories import Category
from app.rules.riding.values import Outcome
from app.store.database import Database
from app.store.people.tables import StudentRow
from app.store.progress.writes import rebuild
from app.store.riding.tables import AttemptRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.riding import variant

CLEAN_IN_TEN = {"slalom": 8, "figure_of_8": 5, "slow_ride": 6, "u_turn": 1}
"""How often the crowd rides each clean, which is not how hard they are shipped."""


def crowd(database: Database, people: Cast, students: int, rides: int, seed: int = 1) -> list[int]:
    """So many students more, each with so many rides of four manoeuvres; their ids."""
    dice = Random(seed)
    chances = {variant(database, code): often / 10 for code, often in CLEAN_IN_TEN.items()}
    variants = list(chances)
    clean = [
        [dice.random() < chances[variants[n % len(variants)]] for n in range(rides)]
        for _ in range(students)
    ]
    return ridden(database, people, variants, clean)


def ridden(
    database: Database, people: Cast, variants: Sequence[int], clean: Sequence[Sequence[bool]]
) -> list[int]:
    """One student more for each row of outcomes, riding the variants in turn; their ids."""
    with database.writing() as session:
        names = [
            StudentRow(name=f"Crowd {n:04d}", category=Category.A, created_at=START)
            for n in range(len(clean))
        ]
        session.add_all(names)
        session.flush()
        ids = [row.id for row in names]
        session.execute(
            insert(AttemptRow),
            [
                _attempt(people, student, variants[place % len(variants)], place, is_clean)
                for student, outcomes in zip(ids, clean, strict=True)
                for place, is_clean in enumerate(outcomes)
            ],
        )
    rebuild(database)
    return ids


def _attempt(
    people: Cast, student: int, variant_id: int, place: int, is_clean: bool
) -> dict[str, object]:
    at = START - timedelta(days=10, minutes=-place)
    return {
        "id": UUID(int=student * 1_000_000 + place),
        "session_id": people.session,
        "student_id": student,
        "variant_id": variant_id,
        "ridden_at": at,
        "received_at": at,
        "outcome": Outcome.CLEAN if is_clean else Outcome.RIDING,
    }
