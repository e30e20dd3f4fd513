"""A file of students: which columns it has, what stands in each row, and how one is written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.rules.categories import Category
from app.rules.people.csv_text import DELIMITERS, Decoded, Line, decode, lines, plain_cell, write
from app.rules.people.names import tidy
from app.rules.people.seeking import plain
from app.rules.people.students import StudentFacts, tidied
from app.rules.refusal import Reason, Refused

MOST_ROWS = 2000
MOST_FILE_BYTES = 1024 * 1024

TOO_MUCH = (
    f"A file has at most {MOST_ROWS:,} rows and {MOST_FILE_BYTES // 1024 // 1024} MB. "
    "Split it, and take the parts in one after the other."
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading as we write it, what else it may be called, and what is in it."""

    field: str
    heading: str
    also: tuple[str, ...]
    about: str


COLUMNS = (
    Column("name", "Name", ("full name", "student", "student name", "rider", "learner"),
           "Needed, or the next two. As it is written, in any script."),
    Column("given", "First name", ("given name", "forename", "first names", "forenames"),
           "With the last name, in place of the name. Not in a file that we write."),
    Column("family", "Last name", ("surname", "family name", "second name"),
           "With the first name, in place of the name. Not in a file that we write."),
    Column("category", "Category", ("licence category", "licence", "licence class", "class"),
           "Needed: AM, A1, A2 or A."),
    Column("phone", "Phone", ("phone number", "telephone", "tel", "mobile", "mobile phone"),
           "A phone number or an email is needed. Abroad with + and the country’s code."),
    Column("email", "Email", ("email address", "e-mail", "e-mail address", "mail"),
           "Such as ada@example.org."),
    Column("date_of_birth", "Date of birth", ("born", "birth date", "birthday", "dob"),
           "As 2001-05-17 or 17/05/2001, the day first."),
    Column("emergency_name", "Emergency contact", ("emergency name", "next of kin"),
           "Who is called if something happens."),
    Column("emergency_phone", "Phone of the contact",
           ("emergency phone", "emergency number", "next of kin phone"),
           "Their phone number."),
    Column("guardian_name", "Guardian", ("guardian name", "parent", "parent or guardian"),
           "For a student under 18."),
    Column("guardian_phone", "Phone of the guardian", ("guardian phone", "parent phone"),
           "Their phone number. Needed where a guardian is named."),
    Column("notes", "Notes", ("note", "remarks", "comments"),
           "What everyone at the desk may read, at most 2,000 characters."),
)  # fmt: skip
"""In the order in which a file of ours has them."""

WRITTEN = tuple(column for column in COLUMNS if column.field not in ("given", "family"))
_HEADINGS = {column.field: column.heading for column in COLUMNS}

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?")
_BRITISH = re.compile(r"(\d{1,2})([/. -])(\d{1,2}|[a-z]{3,9})\2(\d{4})", re.IGNORECASE)
_DATE = "Write the date of birth as 2001-05-17 or 17/05/2001."
_FORMULA = (
    "begins with {sign} as a formula does. Write what is meant, or put an apostrophe before it."
)


@dataclass(frozen=True, slots=True)
class FileRow:
    """One row: the line it begins on, the student in it, and every reason against keeping it."""

    line: int
    facts: StudentFacts
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StudentFile:
    """What a file holds. ``unknown`` are headings that mean nothing here and are left out."""

    rows: tuple[FileRow, ...]
    headings: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]
    encoding: str
    sure: bool
    between: str


def read_students(data: bytes) -> StudentFile:
    """The students in a file, each with what is wrong in its own cells.

    Raises Refused for the field ``file`` when it is no table of students at all.
    """
    if len(data) > MOST_FILE_BYTES:
        raise Refused(Reason(TOO_MUCH, "file"))
    decoded = decode(data)
    delimiter = max(DELIMITERS, key=lambda sign: len(_recognised(decoded.text, sign)))
    found = lines(decoded.text, delimiter)
    heads = next(found, Line(1, ()))
    return _file(decoded, delimiter, heads.cells, list(found))


def _recognised(text: str, delimiter: str) -> list[str]:
    try:
        heads = next(lines(text, delimiter)).cells
    except (Refused, StopIteration):
        return []
    return [field for head in heads if (field := _field(head))]


def _key(heading: str) -> str:
    return "".join(c for c in plain(heading) if c.isalnum())


_FIELDS = {
    _key(name): column.field for column in COLUMNS for name in (column.heading, *column.also)
}


def _field(heading: str) -> str | None:
    return _FIELDS.get(_key(heading))


def _file(
    decoded: Decoded, delimiter: str, heads: Sequence[str], body: Sequence[Line]
) -> StudentFile:
    fields = [_field(head) for head in heads]
    _check_columns(heads, [field for field in fields if field])
    if not body:
        raise Refused(Reason("There are no students below the headings of this file.", "file"))
    if len(body) > MOST_ROWS:
        raise Refused(Reason(f"{TOO_MUCH} This one has {len(body):,} rows.", "file"))
    named = [(tidy(head), field) for head, field in zip(heads, fields, strict=True)]
    return StudentFile(
        rows=tuple(_row(line, fields) for line in body),
        headings=tuple((head, _HEADINGS[field]) for head, field in named if field),
        unknown=tuple(head for head, field in named if head and not field),
        encoding=decoded.encoding,
        sure=decoded.sure,
        between=DELIMITERS[delimiter],
    )


def _check_columns(heads: Sequence[str], fields: Sequence[str]) -> None:
    for field in fields:
        if fields.count(field) > 1:
            twice = [f"“{tidy(head)}”" for head in heads if _field(head) == field]
            sentence = f"{' and '.join(twice)} both mean {_HEADINGS[field].lower()}. Keep one."
            raise Refused(Reason(sentence, "file"))
    if missing := list(_missing(fields)):
        sentence = (
            f"This file has no column for {', and none for '.join(missing)}. "
            f"The first row must hold headings such as {', '.join(c.heading for c in WRITTEN[:4])}."
        )
        raise Refused(Reason(sentence, "file"))


def _missing(fields: Sequence[str]) -> Iterator[str]:
    if "name" not in fields and not {"given", "family"} <= set(fields):
        yield "the name"
    if "category" not in fields:
        yield "the category"
    if not {"phone", "email"} & set(fields):
        yield "a phone number or an email"


def _row(line: Line, fields: Sequence[str | None]) -> FileRow:
    raw = {field: cell.strip() for field, cell in zip(fields, line.cells, strict=False) if field}
    reasons = [*_cell_reasons(raw, line, fields)]
    cells = {field: plain_cell(cell) for field, cell in raw.items()}
    category, born = _category(cells.get("category", "")), _born(cells.get("date_of_birth", ""))
    if category is None:
        reasons.append("Write the category as AM, A1, A2 or A.")
    if born is None and cells.get("date_of_birth"):
        reasons.append(_DATE)
    return FileRow(line.number, _facts(cells, category or Category.A, born), tuple(reasons))


def _cell_reasons(
    cells: Mapping[str, str], line: Line, fields: Sequence[str | None]
) -> Iterator[str]:
    if any(cell.strip() for cell in line.cells[len(fields) :]):
        yield "This row has more cells than there are headings. Look for a comma too many."
    for field, cell in cells.items():
        if cell[:1] in ("=", "@"):
            yield f"“{_HEADINGS[field]}” {_FORMULA.format(sign=cell[0])}"


def _facts(cells: Mapping[str, str], category: Category, born: date | None) -> StudentFacts:
    whole = cells.get("name") or f"{cells.get('given', '')} {cells.get('family', '')}"
    texts = ("phone", "email", "emergency_name", "emergency_phone")
    more = ("guardian_name", "guardian_phone")
    return tidied(
        StudentFacts(
            name=whole,
            category=category,
            date_of_birth=born,
            notes=cells.get("notes", ""),
            **{field: cells.get(field) or None for field in (*texts, *more)},
        )
    )


def _category(cell: str) -> Category | None:
    word = _key(cell).removeprefix("category").upper()
    return Category(word) if word in set(Category) else None


def _born(cell: str) -> date | None:
    iso, british = _ISO.fullmatch(cell), _BRITISH.fullmatch(cell)
    try:
        if iso:
            return date(*map(int, iso.groups()))
        if british:
            day, _, month, year = british.groups()
            return date(int(year), _month(month), int(day))
    except ValueError:
        return None
    return None


def _month(written: str) -> int:
    short = written.lower()[:3]
    return _MONTHS.index(short) + 1 if short in _MONTHS else int(written)


def write_students(students: Iterable[StudentFacts]) -> str:
    """A file of students that :func:`read_students` reads back to the same facts."""
    heads = [column.heading for column in WRITTEN]
    return write([heads, *([_cell(one, column.field) for column in WRITTEN] for one in students)])


def _cell(student: StudentFacts, field: str) -> str:
    value = getattr(student, field)
    return "" if value is None else str(value)


def field_words(reason: Reason) -> str:
    """``Phone: Write the phone number in digits``: a reason with the heading of its column."""
    heading = _HEADINGS.get(reason.field)
    return f"{heading}: {reason.sentence}" if heading else reason.sentence
