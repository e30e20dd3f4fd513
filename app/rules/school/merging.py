"""Two records of one person: which values stay, and when they cannot be made one yet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Any

from app.rules.people.students import MOST_NOTES, StudentFacts
from app.rules.refusal import Reason

FIELDS = tuple(field.name for field in fields(StudentFacts))
"""What the desk chooses between, in the order in which a record is shown."""


class Pick(StrEnum):
    """Whose value stays in the record that is kept. Notes alone can be joined."""

    KEPT = "kept"
    OTHER = "other"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class SignIn:
    """An account of a record. It is in use when it has a password and is open."""

    account_id: int
    in_use: bool


@dataclass(frozen=True, slots=True)
class Clash:
    """Two places at one time, in words: of the record that is kept, and of the other."""

    kept: str
    other: str


def differing(kept: StudentFacts, other: StudentFacts) -> tuple[str, ...]:
    """The fields in which two records are not the same."""
    return tuple(name for name in FIELDS if getattr(kept, name) != getattr(other, name))


def proposed(kept: StudentFacts, other: StudentFacts, name: str) -> Pick:
    """What to choose first: what the kept record has, else the other's; notes joined."""
    ours, theirs = getattr(kept, name), getattr(other, name)
    if not ours:
        return Pick.OTHER
    if name == "notes" and theirs and len(joined(ours, theirs)) <= MOST_NOTES:
        return Pick.BOTH
    return Pick.KEPT


def joined(ours: str, theirs: str) -> str:
    """Both notes, one under the other."""
    return f"{ours}\n\n{theirs}"


def chosen(kept: StudentFacts, other: StudentFacts, picks: Mapping[str, Pick]) -> StudentFacts:
    """The facts that stay; a field that nobody chose for stays as the kept record has it."""
    values: dict[str, Any] = {}
    for name, pick in picks.items():
        if pick is Pick.OTHER:
            values[name] = getattr(other, name)
        elif pick is Pick.BOTH:
            values[name] = joined(getattr(kept, name), getattr(other, name))
    return replace(kept, **values)


def obstacles(
    clashes: tuple[Clash, ...], kept: SignIn | None, other: SignIn | None
) -> Iterator[Reason]:
    """What must be done before two records can be one."""
    for clash in clashes:
        yield Reason(
            f"Both have a place at the same time: {clash.kept} here, and {clash.other} on the "
            "other record. Cancel one of the two first."
        )
    if kept and other and kept.in_use and other.in_use:
        yield Reason(
            "Both have a sign-in that is in use. Ask which one the student wants to keep; an owner "
            "closes the other under Accounts. Then the records can be made one."
        )


def sign_in_left(kept: SignIn | None, other: SignIn | None) -> SignIn | None:
    """The sign-in that stays: the one that is in use, else the kept record's."""
    if kept is None or (other is not None and other.in_use and not kept.in_use):
        return other
    return kept
