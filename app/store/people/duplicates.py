"""Records that may be one person, looked for among all students."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Select, and_, or_, select
from sqlalchemy.orm import Session

from app.rules.people.alike import Known, Pair, Person, pairs
from app.rules.people.students import StudentFacts
from app.store import settings
from app.store.people.reads import facts_of, student_row
from app.store.people.tables import StudentRow
from app.store.people.writing import sought

ALIKE = "as_new"
"""The field of the form beside which it is said that somebody on file is like the new one."""

MOST_ALIKE = 5
SHOWN = 50


@dataclass(frozen=True, slots=True)
class Suggestions:
    """Pairs that may be one person, the likeliest first; ``total`` counts all of them."""

    pairs: tuple[Pair, ...]
    total: int


def suggestions(session: Session) -> Suggestions:
    """The likeliest pairs among all students. One query."""
    found = pairs(everyone(session))
    return Suggestions(found[:SHOWN], len(found))


def everyone(session: Session) -> tuple[Person, ...]:
    """All students as they are compared. One query."""
    return tuple(_person(*row) for row in session.execute(_people()))


def like(session: Session, facts: StudentFacts, region: str) -> tuple[Pair, ...]:
    """Who on file may be the person of these facts, the likeliest first. One query.

    The newcomer is the other of each pair, under the id 0.
    """
    new = newcomer(facts, region)
    words = new.folded.split()
    near = [and_(*(StudentRow.sought.contains(word, autoescape=True) for word in words))]
    if new.number:
        near.append(StudentRow.sought.contains(f"\n{new.number}\n", autoescape=True))
    if new.email:
        near.append(StudentRow.sought.endswith(f"\n{new.email}", autoescape=True))
    if new.born:
        near.append(StudentRow.date_of_birth == new.born)
    found = session.execute(_people().where(or_(*near)))
    return Known(_person(*row) for row in found).like(new)


def twins_of(session: Session, student_id: int) -> tuple[Pair, ...]:
    """Who else on file may be this student, the likeliest first. Two queries."""
    row = student_row(session, student_id)
    region = settings.load(session).phone_region
    found = like(session, facts_of(row), region)
    return tuple(pair for pair in found if pair.one.id != student_id)[:MOST_ALIKE]


def newcomer(facts: StudentFacts, region: str, number: int = 0) -> Person:
    """Someone who is not on file, as they are compared."""
    kept = sought(facts.name, facts.phone, facts.email, region)
    return _person(number, facts.name, kept, facts.date_of_birth)


def already_words(pair: Pair) -> str:
    """``Lena Wren is on file already, with the same phone number.``"""
    return f"{pair.one.name} is on file already, with {pair.words}."


def _people() -> Select[int, str, str, date | None]:
    columns = (StudentRow.id, StudentRow.name, StudentRow.sought, StudentRow.date_of_birth)
    return select(*columns).where(StudentRow.merged_into_id.is_(None)).order_by(StudentRow.id)


def _person(number: int, name: str, kept: str, born: date | None) -> Person:
    # A row that an older release wrote has one writing of the phone.
    folded, *_, international, email = kept.split("\n")
    return Person(number, name, folded, international, email, born)
