"""The list of all flags in schools of several sizes, as ratios to the smallest and to a floor."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from app.commands.bench.crowd import longer_history, more_students
from app.commands.bench.load import Connection, Measured, Request, measure
from app.commands.bench.people import signed_in
from app.commands.bench.server import running

PAGES = {
    "first page": "/progress/flags?where=school",
    "all who need a refresh": "/progress/flags?where=school&standing=refresh",
    "all who work on one": "/progress/flags?where=school&standing=working",
    "ready for a test": "/progress/ready",
}
"""The first shows 25 students of the school; the next two look at every standing there is."""


@dataclass(frozen=True, slots=True)
class Size:
    """A school: how many times the demo's students, and how many times their history."""

    students: int = 1
    history: int = 1

    @property
    def name(self) -> str:
        """What it is called in a line."""
        if self.history > 1:
            return f"{self.history} x history"
        return f"{self.students} x students"


SIZES = (Size(), Size(students=10), Size(students=100), Size(history=10))


def compare_flags(demo: Path, folder: Path, requests: int, sizes: Sequence[Size] = SIZES) -> None:
    """Measure the lists in a school of each size; ``demo`` is the smallest, and is left as it is.

    The floor reads as many bare rows as the school has standings.
    """
    first: dict[str, Measured] = {}
    for size in sizes:
        own = folder / f"{size.students}-{size.history}"
        own.mkdir()
        school = Path(shutil.copy(demo, own / "school.db"))
        more_students(school, size.students)
        if size.history > 1:
            longer_history(school, size.history)
        _tell_size(size, school)
        with running(f"sqlite:///{school}", own) as port:
            found = _measured(port, _count(school, "standings"), requests)
        _tell(found, first or found)
        first = first or found
        shutil.rmtree(own)


def _count(school: Path, table: str) -> int:
    with sqlite3.connect(school) as connection:
        (found,) = connection.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608
        return int(found)


def _tell_size(size: Size, school: Path) -> None:
    students, rides = _count(school, "students"), _count(school, "attempts")
    standings = _count(school, "standings")
    click.echo(f"Flags, {size.name}: {students:,} students, {standings:,} standings, "
               f"{rides:,} rides")  # fmt: skip


def _measured(port: int, rows: int, requests: int) -> dict[str, Measured]:
    connection = Connection(port)
    signed_in("instructor")(connection)
    try:
        return {
            name: _one(name, connection, path, requests)
            for name, path in {"bare rows": f"/bare/floor/rows?count={rows}", **PAGES}.items()
        }
    finally:
        connection.close()


def _one(name: str, connection: Connection, path: str, requests: int) -> Measured:
    return measure(name, [connection], lambda _number: Request("GET", path), requests)


def _tell(found: dict[str, Measured], first: dict[str, Measured]) -> None:
    floor = found["bare rows"]
    for name, one in found.items():
        line = f"{name:<24} p50 {one.p50_ms:8.2f} ms  p95 {one.p95_ms:8.2f} ms"
        line += f"  {one.slower_than(first[name]):6.1f} of the smallest"
        if one is not floor:
            line += f"  {one.slower_than(floor):6.1f} of the floor"
        click.echo(line)
    click.echo()
    if any(one.wrong for one in found.values()):
        raise click.ClickException("Some answers were wrong, so the figures count for nothing.")
