"""Pictures of chances as places on a drawing: what stands where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from app.store.progress.outlook import Outlook

WIDTH, HEIGHT = 640.0, 200.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 16.0, 12.0, 28.0
LINES = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class Mark:
    """One session on the drawing: where, when, the chance in hundredths, and its rides."""

    x: float
    y: float
    at: datetime
    chance: int
    rides: int


@dataclass(frozen=True, slots=True)
class Path:
    """How a chance moved: its marks, the line through them, and the lines behind.

    ``band`` is the range as it is today: its x, the upper and the lower y.
    """

    marks: tuple[Mark, ...]
    points: str
    lines: tuple[tuple[float, int], ...]
    band: tuple[float, float, float]


def path(outlook: Outlook) -> Path | None:
    """The picture of a student's sessions; None with fewer than two, which are no movement."""
    stops = outlook.stops
    if len(stops) < 2:
        return None
    places = _across(len(stops))
    marks = tuple(
        Mark(x, _down(stop.chance), stop.at, round(stop.chance * 100), stop.rides)
        for x, stop in zip(places, stops, strict=True)
    )
    ready = outlook.ready
    return Path(
        marks=marks,
        points=" ".join(f"{mark.x:g},{mark.y:g}" for mark in marks),
        lines=tuple((_down(line), round(line * 100)) for line in LINES),
        band=(WIDTH - RIGHT, _down(ready.high), _down(ready.low)),
    )


def _across(count: int) -> Sequence[float]:
    wide = WIDTH - LEFT - RIGHT - 24.0
    return [round(LEFT + wide * number / (count - 1), 1) for number in range(count)]


def _down(chance: float) -> float:
    return round(TOP + (1.0 - chance) * (HEIGHT - TOP - BOTTOM), 1)
