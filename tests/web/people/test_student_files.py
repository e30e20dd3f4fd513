"""Students from a file at the desk: looked at, put right, kept; and all of them to a file."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from app.store.database import Database
from app.store.people import reads
from app.web.people.packed import pack
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]
PATH = "/students/import"
HEAD = "Name,Category,Phone,Email\n"
GOOD = HEAD + "Ada Finch,A2,01632 960123,\nZoë Quill,A,,zoe@example.org\n"


def _look(desk: Visitor, data: bytes | str, status: int = 200) -> Page:
    content = data.encode() if isinstance(data, str) else data
    return desk.send(PATH, {"file": (BytesIO(content), "students.csv")}, PATH, status)


def _total(database: Database) -> int:
    with database.reading() as session:
        return reads.students(session).total


def test_a_file_is_looked_at_and_then_kept(visit: Visit, database: Database) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, GOOD)
    assert "2 rows: 2 to add, 0 perhaps on file already, 0 to put right." in page.text
    assert "Zoë Quill" in page.text
    assert _total(database) == before
    page = desk.submit(page, action="take-in")
    assert "2 students added." in page.text
    assert _total(database) == before + 2


def test_kept_twice_is_kept_once(visit: Visit, database: Database) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, GOOD)
    for _ in range(2):
        assert "2 students added." in desk.submit(page, action="take-in").text
    assert _total(database) == before + 2


def test_bad_rows_are_told_by_their_line_and_the_others_are_kept(
    visit: Visit, database: Database
) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, GOOD + "Ivo,B,12,\n")
    assert "Line 4, Ivo : Write the category as AM, A1, A2 or A. Phone: A phone number" in page.text
    page = desk.submit(page, action="take-in")
    assert "2 students added. 1 row left out." in page.text
    assert _total(database) == before + 2


def test_those_here_already_are_pointed_out_and_added_when_ticked(
    visit: Visit, database: Database
) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, GOOD + "Wren Lena,A,01632 960777,\n")
    assert "Lena Wren is on file already, with the same name." in page.text
    assert "1 row left out." in desk.submit(page, action="take-in").text
    page = _look(desk, HEAD + "Wren Lena,A,01632 960777,\n")
    assert "1 student added." in desk.submit(page, {"also": "2"}, "take-in").text
    assert _total(database) == before + 3


def test_where_nothing_is_left_to_add_it_says_so(visit: Visit, database: Database) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, HEAD + "Lena Wren,A,01632 960777,\n")
    answer = desk.submit(page, action="take-in", status=422)
    assert "No student of this file can be added as it is." in answer.text
    assert _total(database) == before
    page = _look(desk, HEAD + "Ada,X,1,\n")
    assert "Add the students" not in page.text
    assert "Choose another file" in page.text


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "This file is empty."),
        (b"\x00\x01\x02", "This is not a file of text."),
        (b"PK\x03\x04sheet", "Save the table as CSV"),
        (b"Shoe,Size\nA,7\n", "This file has no column for the name"),
        (HEAD.encode(), "There are no students below the headings"),
        (b"Name,Category,Phone\n" + b"A,A,1\n" * 100_000, "This one has 100,000 rows."),
        (b"x" * 1_500_000, "at most 2,000 rows and 1 MB"),
    ],
)
def test_what_is_no_file_of_students_is_refused_at_its_field(
    visit: Visit, database: Database, data: bytes, sentence: str
) -> None:
    before = _total(database)
    page = _look(visit("desk"), data, status=422)
    assert sentence in page.error_beside("file")
    assert _total(database) == before


def test_a_file_that_is_far_too_large_is_refused_in_words(visit: Visit) -> None:
    page = _look(visit("desk"), b"x" * 3_000_000, status=413)
    assert "Send a smaller file" in page.text


def test_no_file_is_no_file(visit: Visit) -> None:
    assert "Choose the file." in visit("desk").send(PATH, action=PATH, status=422).text


def test_a_guessed_encoding_is_told(visit: Visit) -> None:
    page = _look(visit("desk"), GOOD.encode("cp1252"))
    assert "It was read as Windows-1252." in page.text
    assert "Zoë Quill" in page.text
    assert "read as" not in _look(visit("desk"), GOOD.encode("utf-16")).text


def test_columns_that_we_do_not_know_are_named(visit: Visit) -> None:
    page = _look(visit("desk"), "Rider;Class;Mobile;Shoe size\nAda;A;01632 960123;7\n")
    assert "Cells parted by semicolons" in page.text
    assert "Rider as Name" in page.text
    assert "Left out, since we do not know them: Shoe size." in page.text


@pytest.mark.parametrize("text", ["", "x", "eJw=", "AAAA", "é", pack(b"", "")])
def test_a_form_that_comes_back_damaged_is_refused(
    visit: Visit, database: Database, text: str
) -> None:
    desk, before = visit("desk"), _total(database)
    page = _look(desk, GOOD)
    answer = desk.submit(page, {"file": text}, "take-in", status=422)
    assert answer.heading == "Students from a file"
    assert "Not saved yet" in answer.text
    assert _total(database) == before


def test_a_packed_file_that_unfolds_to_too_much_is_refused(visit: Visit) -> None:
    desk = visit("desk")
    page = _look(desk, GOOD)
    answer = desk.submit(page, {"file": pack(b"x" * 50_000_000, "")}, "take-in", status=422)
    assert "at most 2,000 rows and 1 MB" in answer.text


def test_a_long_list_is_cut_short_and_costs_no_more_queries(visit: Visit, app: Flask) -> None:
    desk, school = visit("desk"), app.extensions["yardmark_database"]
    with counted(school) as few:
        _look(desk, GOOD)
    rows = "".join(f"Rider {n},{'A' if n % 2 else 'B'},,r{n}@example.org\n" for n in range(400))
    with counted(school) as many:
        page = _look(desk, HEAD + rows)
    assert len(few) == len(many)
    assert "And 100 more rows." in page.text
    assert "200 students, the first 10" in page.text


def test_all_students_go_to_a_file_and_the_audit_keeps_it(visit: Visit, people: Cast) -> None:
    desk = visit("desk")
    form = desk.get(PATH).form("export")
    token = next(node.get("value") for node in form.iter("input") if node.get("name"))
    answer = desk.client.post("/students/export", data={"csrf_token": token})
    assert answer.mimetype == "text/csv"
    assert re.search(r'filename="students-2026-11-26\.csv"', answer.headers["Content-Disposition"])
    assert answer.headers["Cache-Control"] == "private, no-store"
    lines = answer.get_data().decode("utf-8-sig").split("\r\n")
    assert lines[0].startswith("Name,Category,Phone,Email,Date of birth")
    assert lines[1] == "Lena Wren,A,01632 960001,,1998-05-17,Robin Wren,01632 960002,,,"
    assert "wrote out: student file" in visit("owner").get("/office/audit").text


@pytest.mark.parametrize("who", ["instructor", "learner"])
def test_files_are_the_desks_alone(visit: Visit, who: Any) -> None:
    visitor = visit(who)
    visitor.get(PATH, status=403)
    answer = visitor.client.post("/students/export")
    assert answer.status_code in (400, 403)
