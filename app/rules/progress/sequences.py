"""Practice sequences as a table of lines: student, manoeuvre, order, day, clean.

Used to score the model on rides that it was not fitted on. ``day`` may be
empty; ``order`` says which ride of a student came first.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import isfinite

from app.rules.progress.evidence import Evidence, in_order
from app.rules.progress.model import days_between

HEADER = ("student", "manoeuvre", "order", "day", "clean")
RIDE_APART_DAYS = 0.3
"""Where days are unknown, each ride of something else in between counts as this many days of rust:
a rounded best for predicting learners not fitted on (see the constants)."""

EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
MOST_NAMED = 20


class BadSequences(ValueError):
    """The table cannot be used. ``problems`` names each bad line, up to a limit."""

    def __init__(self, problems: Sequence[str], count: int) -> None:
        self.problems = tuple(problems)
        self.count = count
        super().__init__("; ".join(problems))


@dataclass(frozen=True, slots=True)
class Row:
    """One attempt as read; ``day`` counts days from any start, None where unknown."""

    student: str
    manoeuvre: str
    order: float
    day: float | None
    clean: bool


@dataclass(frozen=True, slots=True)
class Attempt:
    """One attempt ready for the model: what it says, and the days waited before it."""

    evidence: Evidence
    days: float
    idle: float


def read_rows(lines: Iterable[str]) -> list[Row]:
    """The rows of a table with the header line, or BadSequences that names the bad lines.

    Nothing is left out but blank lines: one bad line refuses the whole table.
    """
    rows: list[Row] = []
    problems: list[str] = []
    seen: dict[tuple[str, str, float], int] = {}
    for line, cells in _cells(lines):
        found = _row(cells)
        if isinstance(found, Row):
            first = seen.setdefault((found.student, found.manoeuvre, found.order), line)
            if first == line:
                rows.append(found)
                continue
            found = f"the same student, manoeuvre and order as line {first}"
        problems.append(f"line {line}: {found}")
    if problems:
        raise BadSequences(problems[:MOST_NAMED], len(problems))
    return rows


def _cells(lines: Iterable[str]) -> Iterator[tuple[int, list[str]]]:
    """The lines after the header with their numbers, without the blank ones."""
    reader = csv.reader(lines)
    try:
        header = tuple(name.strip().lstrip("\ufeff") for name in next(reader, ()))
        if header != HEADER:
            raise BadSequences([f"line 1: the header must be {','.join(HEADER)}"], 1)
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        raise BadSequences([f"line {reader.line_num}: {error}"], 1) from error


def _row(cells: Sequence[str]) -> Row | str:
    """The row, or what is wrong with it."""
    if len(cells) != len(HEADER):
        return f"{len(cells)} columns where {len(HEADER)} are needed"
    student, manoeuvre, order_text, day_text, clean = (cell.strip() for cell in cells)
    if not student or not manoeuvre:
        return "student and manoeuvre must not be empty"
    order, day = _number(order_text), _number(day_text)
    if order is None:
        return f"order is not a number: {order_text!r}"
    if day is None and day_text:
        return f"day is neither empty nor a number: {day_text!r}"
    if clean not in ("0", "1"):
        return f"clean is neither 0 nor 1: {clean!r}"
    return Row(student, manoeuvre, order, day, clean == "1")


def _number(text: str) -> float | None:
    try:
        number = float(text)
    except ValueError:
        return None
    return number if isfinite(number) else None


def by_student(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Each student's rows in the order in which they were ridden; equal orders stay as given."""
    students: dict[str, list[Row]] = {}
    for row in rows:
        students.setdefault(row.student, []).append(row)
    for ridden in students.values():
        ridden.sort(key=lambda row: row.order)
    return students


def attempts(ridden: Sequence[Row], variant_ids: dict[str, int]) -> Iterator[Attempt]:
    """One student's rows as attempts; manoeuvres new to ``variant_ids`` are added to it.

    A wait is counted in days where both days are known. Otherwise rust is counted
    in rides of other things, and the form is taken to fade by the ride alone.
    """
    last: dict[str, tuple[int, float | None]] = {}
    before: float | None = None
    for place, row in enumerate(ridden):
        then, day = last.get(row.manoeuvre, (place - 1, row.day))
        days = _days(day, row.day)
        if days is None:
            days = RIDE_APART_DAYS * (place - then - 1)
        idle = _days(before, row.day) or 0.0
        last[row.manoeuvre] = (place, row.day)
        before = row.day
        variant = variant_ids.setdefault(row.manoeuvre, len(variant_ids) + 1)
        yield Attempt(_evidence(row, variant, place), days, idle)


def attempts_of_rides(evidences: Iterable[Evidence]) -> list[Attempt]:
    """One student's own rides as attempts, in the order ridden, with the waits between them."""
    found: list[Attempt] = []
    last: dict[int, datetime] = {}
    before: datetime | None = None
    for ride in in_order(evidences):
        at = ride.ridden_at
        days = days_between(last.get(ride.variant_id), at)
        found.append(Attempt(ride, days, days_between(before, at)))
        last[ride.variant_id] = before = at
    return found


def _days(earlier: float | None, later: float | None) -> float | None:
    if earlier is None or later is None:
        return None
    return max(0.0, later - earlier)


def _evidence(row: Row, variant: int, place: int) -> Evidence:
    day = int(row.day or 0)
    return Evidence(variant, day, EPOCH + timedelta(days=day), f"{place:08d}", row.clean)
