"""A time grid: what fills each column from top to bottom, and the rows of the table it makes.

Places are minutes on an Axis. Whatever takes up time is a Piece; what is left between
the pieces of a column are its gaps, which say whether anything can be put there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Generic, TypeVar

from app.rules.diary.axis import HOUR, Axis, clock_words

What = TypeVar("What")

TICK = 30
"""Minutes between two lines of the grid, so no row is longer."""


class GapKind(StrEnum):
    """Why nothing stands at a time in a column."""

    FREE = "free"
    CLOSED = "closed"
    OFF = "off"
    NO_TIME = "no_time"


@dataclass(frozen=True, slots=True)
class Gap:
    """A time at which a column has nothing, and why in words."""

    begins: int
    ends: int
    kind: GapKind
    words: str


@dataclass(frozen=True, slots=True)
class Piece(Generic[What]):
    """Something that takes up time in a column."""

    begins: int
    ends: int
    what: What


@dataclass(frozen=True, slots=True)
class Cell(Generic[What]):
    """One cell of a column: ``what`` stands there, or a gap, or nothing at all beside another.

    ``lane`` counts from 0 the places side by side in the column, ``lanes`` how many it covers.
    """

    begins: int
    ends: int
    lane: int
    lanes: int
    what: What | None = None
    gap: Gap | None = None


@dataclass(frozen=True, slots=True)
class Column(Generic[What]):
    """A column of the grid; its cells cover its whole length in each of its lanes."""

    lanes: int
    cells: tuple[Cell[What], ...]


@dataclass(frozen=True, slots=True)
class Placed(Generic[What]):
    """A cell in the row at which it begins, over how many rows it reaches, and until when."""

    column: int
    rows: int
    cell: Cell[What]
    until: str


@dataclass(frozen=True, slots=True)
class Row(Generic[What]):
    """From one line of the grid to the next: how long, what the clock shows, what begins here."""

    minutes: int
    clock: int
    again: bool
    cells: tuple[Placed[What], ...]

    @property
    def words(self) -> str:
        """``14:30``; ``01:30 again``."""
        return clock_words(self.clock, again=self.again)

    @property
    def on_the_hour(self) -> bool:
        """Whether an hour begins here."""
        return self.clock % HOUR == 0


def paint(layers: Iterable[Gap], begins: int, ends: int) -> tuple[Gap, ...]:
    """Gaps laid over one another, the later on top, cut to a window: no two of them overlap."""
    over = [each for each in layers if each.ends > begins and each.begins < ends]
    marks = {begins, ends} | {m for each in over for m in (each.begins, each.ends)}
    lines = sorted(m for m in marks if begins <= m <= ends)
    painted: list[Gap] = []
    for low, high in pairwise(lines):
        top = [each for each in over if each.begins <= low and high <= each.ends]
        if top:
            _put(painted, Gap(low, high, top[-1].kind, top[-1].words))
    return tuple(painted)


def _put(painted: list[Gap], one: Gap) -> None:
    """Add a gap, to the one before it when they are of one kind and touch."""
    last = painted[-1] if painted else None
    if last and (last.ends, last.kind, last.words) == (one.begins, one.kind, one.words):
        painted[-1] = Gap(last.begins, one.ends, one.kind, one.words)
    else:
        painted.append(one)


def column(pieces: Iterable[Piece[What]], gaps: Sequence[Gap]) -> Column[What]:
    """A column with everything in it. ``gaps`` have to cover it without overlapping.

    Pieces that overlap stand side by side in lanes, as few as will do.
    """
    clusters = list(_clusters(sorted(pieces, key=lambda p: (p.begins, p.ends))))
    lanes = max((len(cluster) for cluster in clusters), default=1)
    cells: list[Cell[What]] = []
    for cluster in clusters:
        cells += _side_by_side(cluster, lanes)
    busy = [(cluster_begins(cluster), cluster_ends(cluster)) for cluster in clusters]
    cells += [
        Cell(low, high, 0, lanes, gap=Gap(low, high, gap.kind, gap.words))
        for gap in gaps
        for low, high in _left(gap, busy)
    ]
    return Column(lanes, tuple(sorted(cells, key=lambda cell: (cell.begins, cell.lane))))


Cluster = list[list[Piece[What]]]
"""The lanes of pieces that overlap one another, or overlap one that does."""


def _clusters(pieces: Sequence[Piece[What]]) -> Iterator[Cluster[What]]:
    lanes: Cluster[What] = []
    for piece in pieces:
        if lanes and piece.begins >= cluster_ends(lanes):
            yield lanes
            lanes = []
        free = [lane for lane in lanes if lane[-1].ends <= piece.begins]
        if free:
            free[0].append(piece)
        else:
            lanes.append([piece])
    if lanes:
        yield lanes


def cluster_begins(lanes: Cluster[What]) -> int:
    """Where the first of a cluster begins."""
    return min(lane[0].begins for lane in lanes)


def cluster_ends(lanes: Cluster[What]) -> int:
    """Where the last of a cluster ends."""
    return max(lane[-1].ends for lane in lanes)


def _side_by_side(cluster: Cluster[What], lanes: int) -> Iterator[Cell[What]]:
    """The cells of a cluster, its last lane as wide as what is left, with the blanks between."""
    for number, lane in enumerate(cluster):
        wide = lanes - number if number == len(cluster) - 1 else 1
        at = cluster_begins(cluster)
        for piece in lane:
            if piece.begins > at:
                yield Cell(at, piece.begins, number, wide)
            yield Cell(piece.begins, piece.ends, number, wide, what=piece.what)
            at = piece.ends
        if at < cluster_ends(cluster):
            yield Cell(at, cluster_ends(cluster), number, wide)


def _left(gap: Gap, busy: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """What of a gap is not taken up; ``busy`` is in order and does not overlap itself."""
    low = gap.begins
    for begins, ends in busy:
        if begins < gap.ends and ends > low:
            if begins > low:
                yield low, begins
            low = ends
    if low < gap.ends:
        yield low, gap.ends


def window(places: Iterable[int], axis: Axis) -> tuple[int, int]:
    """The part of an axis that has all these places, out to the whole hours around them."""
    places = [*places]
    hours = axis.ticks(HOUR)
    low = max(hour for hour in hours if hour <= min(places))
    return low, min(hour for hour in hours if hour >= max(places) and hour > low)


def rows(
    columns: Sequence[Column[What]], axis: Axis, begins: int, ends: int
) -> tuple[Row[What], ...]:
    """The rows of the table: one from each line to the next, lines being ticks and ends of cells.

    The columns have to reach from ``begins`` to ``ends``.
    """
    marks = {m for one in columns for cell in one.cells for m in (cell.begins, cell.ends)}
    ticks = {tick for tick in axis.ticks(TICK) if begins <= tick <= ends}
    lines = sorted(marks | ticks | {begins, ends})
    starting = _starting(columns, lines, axis)
    return tuple(
        Row(high - low, *axis.clock(low), tuple(starting.get(low, ())))
        for low, high in pairwise(lines)
    )


def _starting(
    columns: Sequence[Column[What]], lines: Sequence[int], axis: Axis
) -> dict[int, list[Placed[What]]]:
    number = {place: n for n, place in enumerate(lines)}
    starting: dict[int, list[Placed[What]]] = {}
    for place, one in enumerate(columns):
        for cell in one.cells:
            minute, again = axis.clock(cell.ends)
            over = number[cell.ends] - number[cell.begins]
            placed = Placed(place, over, cell, clock_words(minute, again=again))
            starting.setdefault(cell.begins, []).append(placed)
    return starting
