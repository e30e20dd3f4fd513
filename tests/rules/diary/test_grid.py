"""A time grid: every piece once, every minute of every column covered once."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.axis import DAY, Axis, Stretch
from app.rules.diary.grid import (
    TICK,
    Column,
    Gap,
    GapKind,
    Piece,
    Row,
    column,
    paint,
    rows,
    window,
)

AXIS = Axis((Stretch(0, DAY),))
FREE = Gap(0, DAY, GapKind.FREE, "free")


def _pieces(draw: st.DrawFn) -> list[Piece[int]]:
    starts = draw(st.lists(st.integers(0, DAY - 15), max_size=12))
    return [
        Piece(begins, min(DAY, begins + draw(st.integers(15, 600))), number)
        for number, begins in enumerate(starts)
    ]


pieces = st.composite(_pieces)


def test_gaps_lie_over_one_another() -> None:
    closed, off = Gap(0, DAY, GapKind.CLOSED, "closed"), Gap(600, 700, GapKind.OFF, "off")
    painted = paint([closed, Gap(540, 1020, GapKind.FREE, "free"), off], 480, 1080)
    assert [(gap.begins, gap.ends, gap.kind.value) for gap in painted] == [
        (480, 540, "closed"),
        (540, 600, "free"),
        (600, 700, "off"),
        (700, 1020, "free"),
        (1020, 1080, "closed"),
    ]


def test_gaps_of_a_kind_that_touch_are_one() -> None:
    painted = paint([Gap(0, 60, GapKind.OFF, "off"), Gap(60, 90, GapKind.OFF, "off")], 0, 90)
    assert painted == (Gap(0, 90, GapKind.OFF, "off"),)


def test_odd_minutes_are_lines_of_their_own() -> None:
    one = column([Piece(620, 705, "a")], [Gap(600, 780, GapKind.FREE, "free")])
    found = rows([one], AXIS, 600, 780)
    assert [(row.words, row.minutes) for row in found] == [
        ("10:00", 20),
        ("10:20", 10),
        ("10:30", 30),
        ("11:00", 30),
        ("11:30", 15),
        ("11:45", 15),
        ("12:00", 30),
        ("12:30", 30),
    ]
    placed = [(p.cell.what, p.rows, p.until) for row in found for p in row.cells]
    assert placed == [(None, 1, "10:20"), ("a", 4, "11:45"), (None, 3, "13:00")]


def test_sessions_at_the_same_time_stand_side_by_side() -> None:
    one = column([Piece(540, 660, "a"), Piece(600, 720, "b"), Piece(780, 840, "c")], [FREE])
    assert one.lanes == 2
    shown = [(c.what, c.begins, c.ends, c.lane, c.lanes) for c in one.cells if not c.gap]
    assert shown == [
        ("a", 540, 660, 0, 1),
        (None, 540, 600, 1, 1),
        ("b", 600, 720, 1, 1),
        (None, 660, 720, 0, 1),
        ("c", 780, 840, 0, 2),
    ]


def test_one_that_ends_as_another_begins_needs_no_second_lane() -> None:
    assert column([Piece(540, 660, "a"), Piece(660, 720, "b")], [FREE]).lanes == 1


@given(many=pieces())
def test_every_piece_stands_once_and_every_minute_is_covered_once(many: list[Piece[int]]) -> None:
    one = column(many, [FREE])
    assert sorted(cell.what for cell in one.cells if cell.what is not None) == [
        piece.what for piece in many
    ]
    covered = Counter(
        (lane, minute)
        for cell in one.cells
        for lane in range(cell.lane, cell.lane + cell.lanes)
        for minute in range(cell.begins, cell.ends)
    )
    assert set(covered.values()) == {1}
    assert len(covered) == one.lanes * DAY


@given(columns=st.lists(pieces(), min_size=1, max_size=4))
def test_the_table_is_whole(columns: list[list[Piece[int]]]) -> None:
    """Each row of the table is filled by cells that begin in it or reach into it, no more."""
    made: list[Column[int]] = [column(each, [FREE]) for each in columns]
    found = rows(made, AXIS, 0, DAY)
    lanes = sum(one.lanes for one in made)
    assert sum(row.minutes for row in found) == DAY
    assert max(row.minutes for row in found) <= TICK
    assert _filled(found) == [lanes] * len(found)


def _filled(found: tuple[Row[int], ...]) -> list[int]:
    filled = [0] * len(found)
    for number, row in enumerate(found):
        for placed in row.cells:
            for reached in range(number, number + placed.rows):
                filled[reached] += placed.cell.lanes
    return filled


@pytest.mark.parametrize(
    ("places", "shown"),
    [
        ([540, 1020], (540, 1020)),
        ([545, 1001], (540, 1020)),
        ([600], (600, 660)),
        ([0, DAY], (0, DAY)),
    ],
)
def test_the_window_reaches_to_whole_hours(places: list[int], shown: tuple[int, int]) -> None:
    assert window(places, AXIS) == shown
