"""Reading practice sequences: what is taken, and what is refused by line."""

from __future__ import annotations

import pytest

from app.rules.progress.sequences import (
    HEADER,
    RIDE_APART_DAYS,
    Attempt,
    BadSequences,
    attempts,
    by_student,
    read_rows,
)

HEAD = ",".join(HEADER)


def ridden(*lines: str) -> list[Attempt]:
    """The attempts of the only student in these lines."""
    [rows] = by_student(read_rows([HEAD, *lines])).values()
    return list(attempts(rows, {}))


def refused(*lines: str) -> tuple[str, ...]:
    """What is said of lines that cannot be used."""
    with pytest.raises(BadSequences) as caught:
        read_rows(lines)
    return caught.value.problems


def test_rows_are_put_in_the_order_in_which_they_were_ridden() -> None:
    found = ridden("a,x,10,,1", "a,y,9,,0", "a,x,2,,0")
    assert [one.evidence.clean for one in found] == [False, False, True]
    assert [one.evidence.variant_id for one in found] == [1, 2, 1]


def test_with_days_the_waits_are_days() -> None:
    found = ridden("a,x,1,0,1", "a,y,2,4,1", "a,x,3,6.5,1", "a,x,4,6.5,1")
    assert [(one.days, one.idle) for one in found] == [(0, 0), (0, 4), (6.5, 2.5), (0, 0)]


def test_without_days_rust_is_counted_in_rides_of_other_things() -> None:
    found = ridden("a,x,1,,1", "a,y,2,,1", "a,y,3,,1", "a,x,4,,1", "a,x,5,,1")
    assert [one.days for one in found] == [0, 0, 0, 2 * RIDE_APART_DAYS, 0]
    assert {one.idle for one in found} == {0}


def test_manoeuvres_keep_their_number_over_both_files() -> None:
    ids: dict[str, int] = {}
    rows = by_student(read_rows([HEAD, "a,x,1,,1", "b,y,1,,0", "b,x,2,,0"]))
    numbers = [[one.evidence.variant_id for one in attempts(r, ids)] for r in rows.values()]
    assert numbers == [[1], [2, 1]]


def test_blank_lines_and_a_byte_order_mark_are_passed_over() -> None:
    assert len(read_rows(["\ufeff" + HEAD, "", "a,x,1,,1", ""])) == 1


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("a,x,1,1", "4 columns where 5 are needed"),
        (",x,1,,1", "student and manoeuvre must not be empty"),
        ("a, ,1,,1", "student and manoeuvre must not be empty"),
        ("a,x,first,,1", "order is not a number: 'first'"),
        ("a,x,nan,,1", "order is not a number: 'nan'"),
        ("a,x,1,soon,1", "day is neither empty nor a number: 'soon'"),
        ("a,x,1,inf,1", "day is neither empty nor a number: 'inf'"),
        ("a,x,1,,yes", "clean is neither 0 nor 1: 'yes'"),
        ("a,x,1,,", "clean is neither 0 nor 1: ''"),
        ("b,y,0,,1", "the same student, manoeuvre and order as line 2"),
    ],
)
def test_a_bad_line_is_named_and_refuses_the_table(line: str, complaint: str) -> None:
    assert refused(HEAD, "b,y,0,,1", line) == (f"line 3: {complaint}",)


@pytest.mark.parametrize("lines", [[], ["student,skill,order,day,clean"], ["a,x,1,,1"]])
def test_the_header_must_be_there(lines: list[str]) -> None:
    assert refused(*lines) == (f"line 1: the header must be {HEAD}",)


def test_many_bad_lines_are_counted_and_the_first_named() -> None:
    with pytest.raises(BadSequences) as caught:
        read_rows([HEAD, *["a,x"] * 50])
    assert caught.value.count == 50
    assert len(caught.value.problems) == 20
