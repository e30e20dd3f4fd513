"""Two records that may be one person."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.alike import CROWD, Common, Known, Person, in_common, pairs, similar
from app.rules.people.seeking import plain

BORN = date(1998, 5, 17)


def _person(key: int, name: str = "Lena Wren", **facts: Any) -> Person:
    return Person(key, name, plain(name), **{"number": "", "email": "", "born": None, **facts})


@pytest.mark.parametrize(
    ("one", "other", "common"),
    [
        ({"number": "441632960001"}, {"name": "L.", "number": "441632960001"}, [Common.PHONE]),
        ({"email": "a@b.org"}, {"name": "L.", "email": "a@b.org"}, [Common.EMAIL]),
        ({}, {"name": "WREN LENA"}, [Common.NAME]),
        ({"born": BORN}, {"name": "Léna Wren"}, [Common.NAME]),
        ({"born": BORN}, {"name": "Lena Wrenn", "born": BORN}, [Common.BIRTH]),
        ({"born": BORN}, {"name": "Lena Mary Wren", "born": BORN}, [Common.BIRTH]),
        ({"born": BORN, "number": "1"}, {"born": BORN, "number": "1"}, [Common.PHONE, Common.NAME]),
    ],
)
def test_these_may_be_one_person(
    one: dict[str, Any], other: dict[str, Any], common: list[Common]
) -> None:
    assert list(in_common(_person(1, **one), _person(2, **other))) == common
    assert list(in_common(_person(2, **other), _person(1, **one))) == common


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({}, {"name": "Stan Crake"}),
        ({"born": BORN}, {"born": date(1999, 5, 17)}),
        ({"born": BORN}, {"name": "Stan Crake", "born": BORN}),
        ({}, {"name": "Lena Wrenn"}),
        ({"born": BORN}, {"name": "Lena Crake", "born": BORN}),
        ({"number": "441632960001x1"}, {"name": "L.", "number": "441632960001x2"}),
    ],
)
def test_these_are_two_people(one: dict[str, Any], other: dict[str, Any]) -> None:
    assert in_common(_person(1, **one), _person(2, **other)) == ()


def test_names_are_similar_after_a_slip_and_not_after_two_words() -> None:
    assert similar("ada finch", "ada fnich")
    assert similar("finch ada", "ada finch")
    assert not similar("ada finch", "ivo finch")
    assert not similar("ada", "ivo")


PEOPLE = st.lists(
    st.tuples(
        st.sampled_from(["Ada Finch", "Finch Ada", "Ada Fnich", "Ivo Quill", "Ada"]),
        st.sampled_from(["", "1", "2"]),
        st.sampled_from(["", "a", "b"]),
        st.sampled_from([None, BORN, date(2000, 2, 29)]),
    ),
    max_size=CROWD,
)


@given(PEOPLE)
def test_the_quick_way_finds_all_that_comparing_each_with_each_does(
    facts: list[tuple[str, str, str, date | None]],
) -> None:
    people = [
        _person(n, name, number=number, email=email, born=born)
        for n, (name, number, email, born) in enumerate(facts, 1)
    ]
    found = {(pair.one.id, pair.other.id) for pair in pairs(reversed(people))}
    slow = {(a.id, b.id) for a in people for b in people if a.id < b.id and in_common(a, b)}
    assert found == slow
    known = Known(people[:-1])
    for last in people[-1:]:
        assert {pair.one.id for pair in known.like(last)} == {a for a, b in slow if b == last.id}


def test_the_likeliest_stand_first_and_a_shared_number_alone_last() -> None:
    people = [
        _person(1, "Ada Finch", number="1"),
        _person(2, "Ivo Finch", number="1"),
        _person(3, "Lena Wren", email="l@w"),
        _person(4, "Lena Wren", email="l@w"),
        _person(5, "Zora Quill", email="q"),
        _person(6, "Z.", email="q"),
    ]
    found = [(pair.one.id, pair.other.id) for pair in pairs(people)]
    assert found == [(3, 4), (5, 6), (1, 2)]
    assert pairs(people)[0].words == "the same email and the same name"


def test_a_crowd_with_one_number_is_not_compared_each_with_each() -> None:
    people = [_person(n, f"Rider {n:05}", number="1") for n in range(5000)]
    assert len(pairs(people)) < 5000 * 5
