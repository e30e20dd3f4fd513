"""What stands in a view of the diary, so that a test can count it."""

from __future__ import annotations

from collections import Counter
from datetime import date

from app.rules.diary.showing import SCHOOL, By, Showing
from app.store.diary.day_reads import Grid
from app.store.diary.week_reads import Week, WeekGrid

EVERY_VIEW = [
    SCHOOL,
    Showing(By.YARD),
    Showing(By.BIKE),
    Showing(By.INSTRUCTOR, 1),
    Showing(By.YARD, 1),
    Showing(By.BIKE, 1),
]
"""Everything that a day or a week can show, each kind once."""


def in_grid(grid: Grid) -> Counter[tuple[str, date, int]]:
    """How often each session stands in each column: the column's word and day, the session's id."""
    return Counter(
        (head.showing.word, head.day, one.block.session.id)
        for number, head in enumerate(grid.heads)
        for one in grid.sessions(number)
    )


def in_week(week: Week | WeekGrid) -> Counter[tuple[str, date, int]]:
    """The same of a week, whichever form it has."""
    if isinstance(week, WeekGrid):
        return in_grid(week.grid)
    return Counter(
        (member.showing.word, row.day, one.block.session.id)
        for row in week.days
        for member, cell in zip(week.members, row.cells, strict=True)
        for one in cell.sessions
    )
