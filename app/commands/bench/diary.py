"""Finding a place and the diary's screens in a large school, as ratios to a floor."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from urllib.parse import urlencode

import click

from app.commands.bench.full_diary import BIKES, DAYS, INSTRUCTORS, STUDENTS, fill_diary
from app.commands.bench.load import Connection, Measured, Request, measure
from app.commands.bench.people import signed_in
from app.commands.bench.server import running

STUDENT = 1
"""Whom a place is looked for: the demo's first student, who has ridden and has flags."""


@dataclass(frozen=True, slots=True)
class Full:
    """How large the school is made."""

    days: int = DAYS
    students: int = STUDENTS


def compare_diary(
    demo: Path, folder: Path, requests: int, today: date, size: Full = Full()
) -> None:
    """Measure in a copy of the school at ``demo``, which is left as it is.

    The floor of a search reads as many bare rows as the diary has in those days; the floor
    of a screen is a bare page with one row.
    """
    own = folder / "diary"
    own.mkdir()
    school = Path(shutil.copy(demo, own / "school.db"))
    rows = fill_diary(school, today, size.days, size.students)
    click.echo(f"Diary: {INSTRUCTORS} instructors, {BIKES} bikes, {size.students:,} students, "
               f"{size.days} days with {rows:,} sessions and places")  # fmt: skip
    searches, screens = _searches(today, size.days), _screens(today, size.days)
    with running(f"sqlite:///{school}", own) as port:
        connection = Connection(port)
        signed_in("desk")(connection)
        try:
            _compare(connection, f"/bare/floor/rows?count={rows}", searches, requests)
            _compare(connection, "/bare/floor/select", screens, requests)
        finally:
            connection.close()
    shutil.rmtree(own)


def _searches(today: date, days: int) -> Mapping[str, str]:
    """A search that finds something, and one that finds nothing and says why not."""
    asked = {
        "kind": "module_1",
        "bike": "ours",
        "first_day": today.isoformat(),
        "last_day": (today + timedelta(days=days - 1)).isoformat(),
        "weekdays": list(range(7)),
        "instructor_id": 0,
        "yard_id": 0,
        "only_rideable": "y",
    }
    nothing = {**asked, "begins": "21:00", "ends": "22:00"}
    return {
        "find a place": f"/students/{STUDENT}/find?{urlencode(asked, doseq=True)}",
        "find no place": f"/students/{STUDENT}/find?{urlencode(nothing, doseq=True)}",
    }


def _screens(today: date, days: int) -> Mapping[str, str]:
    on = today + timedelta(days=days // 2)
    return {
        "day view": f"/sessions/day?on={on.isoformat()}",
        "week view": f"/sessions?on={on.isoformat()}",
    }


def _compare(
    connection: Connection, floor_path: str, pages: Mapping[str, str], requests: int
) -> None:
    floor = _one("floor", connection, floor_path, requests)
    found = [_one(name, connection, path, requests) for name, path in pages.items()]
    for one in (floor, *found):
        ratio = "" if one is floor else f"  {one.slower_than(floor):6.1f} of the floor"
        click.echo(f"{one.name:<24} p50 {one.p50_ms:8.2f} ms  p95 {one.p95_ms:8.2f} ms{ratio}")
    click.echo()
    if any(one.wrong for one in (floor, *found)):
        raise click.ClickException("Some answers were wrong, so the figures count for nothing.")


def _one(name: str, connection: Connection, path: str, requests: int) -> Measured:
    return measure(name, [connection], lambda _number: Request("GET", path), requests)
