"""A file of students: read whatever it looks like, refused in words, written to come back."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.categories import Category
from app.rules.people.csv_text import plain_cell, safe_cell, write
from app.rules.people.student_file import (
    COLUMNS,
    MOST_FILE_BYTES,
    MOST_ROWS,
    WRITTEN,
    read_students,
    write_students,
)
from app.rules.people.students import StudentFacts, tidied
from app.rules.refusal import Refused

ZOE = StudentFacts("Zoë Ångström", Category.A2, "01632 960123", "zoe@example.org")
PLAIN = "Name,Category,Phone\nAda Finch,A2,01632 960123\n"


def _rows(text: str) -> list[tuple[str, ...]]:
    return [row.reasons for row in read_students(text.encode()).rows]


def _why_not(data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        read_students(data)
    assert [reason.field for reason in caught.value.reasons] == ["file"]
    return str(caught.value)


@pytest.mark.parametrize(
    ("encoding", "told", "sure"),
    [
        ("utf-8", "UTF-8", True),
        ("utf-8-sig", "UTF-8", True),
        ("utf-16", "UTF-16", True),
        ("utf-16-le", "UTF-16", True),
        ("utf-16-be", "UTF-16", True),
        ("cp1252", "Windows-1252", False),
    ],
)
def test_a_file_is_read_in_the_encoding_it_has_and_a_guess_is_told(
    encoding: str, told: str, sure: bool
) -> None:
    text = "Name;Category;Email\r\nZoë Ångström;A2;zoe@example.org\r\n"
    found = read_students(text.encode(encoding))
    assert (found.encoding, found.sure, found.between) == (told, sure, "semicolons")
    assert found.rows[0].facts.name == "Zoë Ångström"


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_what_stands_between_the_cells_is_found_out(sign: str) -> None:
    text = PLAIN.replace(",", sign) + f'"Quill{sign} Ivo"{sign}A{sign}"01632 960124"\n'
    found = read_students(text.encode())
    assert [row.facts.name for row in found.rows] == [
        "Ada Finch",
        f"Quill{sign} Ivo".replace("\t", ""),
    ]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_end_in_any_of_three_ways_and_are_counted_as_an_editor_does(end: str) -> None:
    text = 'Name,Category,Phone,Notes\n\nAda,A,1,"One\nTwo"\n,,,\nIvo,B,2,\n'.replace("\n", end)
    found = read_students(text.encode())
    assert [(row.line, row.facts.name) for row in found.rows] == [(3, "Ada"), (6, "Ivo")]
    assert found.rows[1].reasons == ("Write the category as AM, A1, A2 or A.",)


def test_headings_are_known_by_several_names_and_the_others_are_told() -> None:
    heads = "FIRST NAME;Surname;licence_category;Mobile;E-Mail;DOB;Shoe size;"
    found = read_students(f"{heads}\nAda;Finch;Category a2;1;a@b.org;17/05/2001;7;\n".encode())
    assert found.unknown == ("Shoe size",)
    assert [ours for _, ours in found.headings][:3] == ["First name", "Last name", "Category"]
    facts = found.rows[0].facts
    assert (facts.name, facts.category, facts.date_of_birth) == (
        "Ada Finch", Category.A2, date(2001, 5, 17),
    )  # fmt: skip


def test_no_two_columns_answer_to_one_name() -> None:
    names = [name.lower() for column in COLUMNS for name in (column.heading, *column.also)]
    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    "typed", ["2001-05-17", "17/05/2001", "17.5.2001", "17-05-2001", "17 May 2001", "2001-5-17"]
)
def test_a_day_is_read_the_day_first(typed: str) -> None:
    (row,) = read_students(f"Name,Category,Phone,Born\nAda,A,1,{typed}\n".encode()).rows
    assert (row.facts.date_of_birth, row.reasons) == (date(2001, 5, 17), ())


@pytest.mark.parametrize("typed", ["05/17/2001", "17/05/01", "2001-02-29", "May", "37000"])
def test_what_is_no_day_is_said_in_its_row(typed: str) -> None:
    (reasons,) = _rows(f"Name,Category,Phone,Born\nAda,A,1,{typed}\n")
    assert reasons == ("Write the date of birth as 2001-05-17 or 17/05/2001.",)


def test_a_cell_too_many_is_said_and_one_too_few_is_an_empty_one() -> None:
    assert _rows("Name,Category,Phone,Notes\nAda,A,1,x,y\nIvo,A,1\n") == [
        ("This row has more cells than there are headings. Look for a comma too many.",),
        (),
    ]


@pytest.mark.parametrize("cell", ["=1+1", "=HYPERLINK(1)", "@SUM(1)", " =1"])
def test_a_formula_is_no_name(cell: str) -> None:
    ((reason,),) = _rows(f"Name,Category,Phone\n{cell},A,1\n")
    assert "as a formula does" in reason
    assert _rows(f"Name,Category,Phone\n'{cell.strip()},A,1\n") == [()]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "This file is empty."),
        (b" \r\n\t\n", "This file is empty."),
        (b"\xef\xbb\xbf", "This file is empty."),
        (b",,\n,,\n", "no column for the name, and none for the category"),
        (b"PK\x03\x04rest", "not a file of text"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not a file of text"),
        (bytes(range(256)), "not a file of text"),
        (b"\x81\x8d\xff", "not a file of text"),
        (b"{\\rtf1 hello}", "no column for the name"),
        (b"Ada Finch,A2,01632 960123\n", "The first row must hold headings such as Name, Category"),
        (b"Name,Phone\nAda,1\n", "no column for the category"),
        (b"Name,Category\nAda,A\n", "no column for a phone number or an email"),
        (b"First name,Category,Phone\nAda,A,1\n", "no column for the name"),
        (b"Name,Category,Phone\n", "no students below the headings"),
        (b"Name,Category,Phone,Mobile\nAda,A,1,2\n", "“Phone” and “Mobile” both mean phone."),
        (b'Name,Category,Phone\n"Ada,A,1\n', "A quotation mark in this file is opened"),
        (b"x" * (MOST_FILE_BYTES + 1), "at most 2,000 rows and 1 MB"),
        (b"Name,Category,Phone\n" + b"A,A,1\n" * (MOST_ROWS + 1), "This one has 2,001 rows."),
        (b"Name,Category,Phone\n" + b"A,A,1\n" * 100_000, "This one has 100,000 rows."),
    ],
)
def test_what_is_no_file_of_students_is_refused_in_words(data: bytes, words: str) -> None:
    assert words in _why_not(data)


CELLS = st.one_of(
    st.text(max_size=40),
    st.builds(
        "{}{}".format,
        st.sampled_from(["=", "+", "-", "@", "\t", "\r", "'", "'=", "''@", '"', ",", ";", "\n"]),
        st.text(max_size=10),
    ),
)
MAYBE = st.none() | CELLS
FACTS = st.builds(
    StudentFacts,
    name=CELLS,
    category=st.sampled_from(Category),
    phone=st.none() | st.sampled_from(["01632 960123", "+33 1 23 45 67 89", "01632 960123 x4"]),
    email=st.none() | st.sampled_from(["ada@example.org", "+a-b@example.org"]),
    date_of_birth=st.none() | st.dates(date(1900, 1, 1)),
    emergency_name=MAYBE,
    emergency_phone=st.none(),
    guardian_name=MAYBE,
    guardian_phone=st.none(),
    notes=CELLS,
)


@given(st.lists(FACTS.map(tidied), min_size=1, max_size=5))
def test_what_is_written_is_read_back_to_the_same_facts(students: list[StudentFacts]) -> None:
    data = write_students(students).encode()
    found = read_students(data)
    assert [row.facts for row in found.rows] == students
    assert not any(row.reasons for row in found.rows)


@given(CELLS)
def test_no_cell_can_run_and_each_comes_back(cell: str) -> None:
    assert safe_cell(cell)[:1] not in ("=", "+", "-", "@", "\t", "\r")
    assert plain_cell(safe_cell(cell)) == cell


@given(st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=4))
def test_another_reader_of_rfc_4180_reads_the_same_cells(rows: list[list[str]]) -> None:
    """RFC 4180, section 2, as the csv module of Python reads it."""
    text = write(rows)
    read = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    # A row of one empty cell is an empty line, which says nothing.
    assert [row or [""] for row in read] == [[safe_cell(cell) for cell in row] for row in rows]


def test_the_headings_are_those_of_the_page() -> None:
    heads = write_students([ZOE]).splitlines()[0].split(",")
    assert heads == [column.heading for column in WRITTEN]
