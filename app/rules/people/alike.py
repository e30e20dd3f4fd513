"""Two records that may be one person: what they have in common, in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from enum import StrEnum
from itertools import combinations

NEARLY = 0.8
"""How much of two names must agree, 0 to 1, for them to be similar. From memory: a slip of one or
two letters in a name of usual length stays above it."""

CROWD = 40
"""In a larger group each is compared with those beside them in the order of names alone."""

_BESIDE = 4


class Common(StrEnum):
    """Something that two records have in common."""

    EMAIL = "email"
    PHONE = "phone"
    NAME = "name"
    BIRTH = "birth"


COMMON_WORDS = {
    Common.EMAIL: "the same email",
    Common.PHONE: "the same phone number",
    Common.NAME: "the same name",
    Common.BIRTH: "a similar name and the same date of birth",
}


@dataclass(frozen=True, slots=True)
class Person:
    """What two records are compared by.

    ``folded`` is the name as it is searched for, ``number`` the international digits
    of the phone, and both it and ``email`` are empty where there is none.
    """

    id: int
    name: str
    folded: str
    number: str
    email: str
    born: date | None


@dataclass(frozen=True, slots=True)
class Pair:
    """Two records that may be one person, the older first, with what they have in common."""

    one: Person
    other: Person
    common: tuple[Common, ...]

    @property
    def words(self) -> str:
        """``the same email and the same name``."""
        return " and ".join(COMMON_WORDS[each] for each in self.common)


def in_common(one: Person, other: Person) -> tuple[Common, ...]:
    """What makes two records look like one person; nothing when they do not.

    A name counts when the dates of birth do not contradict it, a similar name only
    when both are known and the same.
    """
    found = []
    if one.email and one.email == other.email:
        found.append(Common.EMAIL)
    if one.number and one.number == other.number:
        found.append(Common.PHONE)
    born_alike = one.born == other.born or one.born is None or other.born is None
    if _words(one) == _words(other) and born_alike:
        found.append(Common.NAME)
    elif one.born is not None and one.born == other.born and similar(one.folded, other.folded):
        found.append(Common.BIRTH)
    return tuple(found)


def similar(one: str, other: str) -> bool:
    """Whether two folded names may be one person's: a slip of the pen, or a name left out."""
    ours, theirs = set(one.split()), set(other.split())
    if min(len(ours), len(theirs)) > 1 and (ours <= theirs or theirs <= ours):
        return True
    in_order = (" ".join(sorted(one.split())), " ".join(sorted(other.split())))
    return any(
        SequenceMatcher(None, *each, autojunk=False).ratio() >= NEARLY
        for each in (in_order, (one, other))
    )


def pairs(people: Iterable[Person]) -> tuple[Pair, ...]:
    """Every two records that may be one person, those with most in common first.

    The time it takes grows with the number of people, not with its square.
    """
    found: dict[tuple[int, int], Pair] = {}
    for one, other in _close(people):
        older, newer = sorted((one, other), key=lambda each: each.id)
        key = older.id, newer.id
        if key not in found and (common := in_common(older, newer)):
            found[key] = Pair(older, newer, common)
    return tuple(sorted(found.values(), key=_weight))


def _weight(pair: Pair) -> tuple[bool, int, str, int]:
    # One number alone is often a family's.
    alone = pair.common == (Common.PHONE,)
    return alone, -len(pair.common), pair.one.folded, pair.other.id


def _close(people: Iterable[Person]) -> Iterator[tuple[Person, Person]]:
    groups: defaultdict[object, list[Person]] = defaultdict(list)
    for person in people:
        for key in _keys(person):
            groups[key].append(person)
    for group in groups.values():
        yield from _within(group)


def _keys(person: Person) -> Iterator[object]:
    yield "name", _words(person)
    if person.email:
        yield "email", person.email
    if person.number:
        yield "number", person.number
    if person.born is not None:
        yield "born", person.born


def _within(group: Sequence[Person]) -> Iterator[tuple[Person, Person]]:
    if len(group) <= CROWD:
        yield from combinations(group, 2)
        return
    in_order = sorted(group, key=lambda each: (each.folded, each.id))
    for place, one in enumerate(in_order):
        for other in in_order[place + 1 : place + 1 + _BESIDE]:
            yield one, other


def _words(person: Person) -> tuple[str, ...]:
    return tuple(sorted(person.folded.split()))


class Known:
    """People to compare newcomers with, in a time that does not grow with their number."""

    def __init__(self, people: Iterable[Person] = ()) -> None:
        self._groups: defaultdict[object, list[Person]] = defaultdict(list)
        for person in people:
            self.add(person)

    def add(self, person: Person) -> None:
        """Know one more."""
        for key in _keys(person):
            self._groups[key].append(person)

    def like(self, person: Person) -> tuple[Pair, ...]:
        """Those who may be this person, most in common first; the newcomer is the other."""
        near = {each.id: each for key in _keys(person) for each in self._groups.get(key, ())}
        found = [
            Pair(each, person, common)
            for each in near.values()
            if (common := in_common(each, person))
        ]
        return tuple(sorted(found, key=_weight))
