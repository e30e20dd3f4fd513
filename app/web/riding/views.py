"""From a board as it is kept to a board as it is drawn."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from flask import url_for

from app.rules.refusal import Missing
from app.rules.riding.syllabus import Offer
from app.rules.riding.values import Outcome, Severity, Side
from app.store.progress.board_standings import Standings
from app.store.riding.around import Around
from app.store.riding.board import Board, BoardRider
from app.store.riding.course import CourseVariant
from app.store.riding.rides import RideLine

IN_SIGHT = 6
"""How many faults stand on the board before the rest is one tap away."""


@dataclass(frozen=True, slots=True)
class RiderTab:
    """One rider's tab: pressing it keeps the manoeuvre that the rider was on.

    ``flagged`` names what the rider has yet to ride cleanly and consistently, weakest first.
    """

    label: str
    note: str
    flagged: tuple[str, ...]
    url: str
    current: bool
    cones: tuple[RideLine, ...]


@dataclass(frozen=True, slots=True)
class VariantKey:
    """One manoeuvre to choose, with the standing of the rider on the board if it is flagged."""

    label: str
    standing: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class FaultKey:
    """One thing that can be ticked: ``value`` is the kind's code, with its side if it has one."""

    value: str
    name: str
    side: str
    severity: Severity
    ticked: bool

    @property
    def id(self) -> str:
        """An id for the page."""
        return f"fault-{self.value.replace(':', '-')}"


@dataclass(frozen=True, slots=True)
class OnBoard:
    """One rider of a board on one variant: all that recording a ride needs of it."""

    board: Board
    rider: BoardRider
    variant: CourseVariant

    @property
    def minimum_kmh(self) -> float | None:
        """The minimum speed in km/h for the rider on the variant, or None."""
        return self.variant.minimum_for(self.rider.category)


def on_board(board: Board, rider: BoardRider, variant_id: int) -> OnBoard:
    """A rider on a variant. Raises Missing for one that is not ridden in this yard."""
    variant = board.course.variant(variant_id)
    if variant not in board.rideable:
        raise Missing(f"variant {variant_id} in this yard")
    return OnBoard(board, rider, variant)


@dataclass(frozen=True, slots=True)
class BoardView:
    """Everything on the board for one rider on one variant.

    ``running`` are the mock tests that have not ended, by rider.
    """

    board: Board
    rider: BoardRider
    variant: CourseVariant
    minimum_kmh: float | None
    tabs: tuple[RiderTab, ...]
    keys: tuple[VariantKey, ...]
    standings: Standings
    faults: tuple[FaultKey, ...]
    more: tuple[FaultKey, ...]
    remarks: tuple[FaultKey, ...]
    strip: tuple[RideLine, ...]
    is_today: bool
    running: Mapping[int, UUID]
    around: Around

    @property
    def again(self) -> bool:
        """Whether the next ride is the second try that the speed rule gives."""
        last = self.rider.last
        return (
            last is not None
            and last.variant_id == self.variant.id
            and last.outcome is Outcome.RIDE_AGAIN
            and not last.second_try
        )


def tabs(board: Board, current: BoardRider, standings: Standings) -> tuple[RiderTab, ...]:
    """The riders of a session as tabs."""
    return tuple(
        RiderTab(
            label=rider.name,
            note=f"{rider.bike or 'no bike'} · {board.course.named(board.variant_of(rider)).name}",
            flagged=tuple(board.course.named(v).name for v in standings[rider.student_id]),
            url=_url(board, rider.student_id, board.variant_of(rider)),
            current=rider is current,
            cones=rider.recent,
        )
        for rider in board.riders
    )


def keys(
    board: Board, rider: BoardRider, current: int, standings: Standings
) -> tuple[VariantKey, ...]:
    """The manoeuvres that this yard allows."""
    flagged = standings[rider.student_id]
    return tuple(
        VariantKey(
            label=each.name,
            standing=flagged.get(each.id, ""),
            url=_url(board, rider.student_id, each.id),
            current=each.id == current,
        )
        for each in board.rideable
    )


def _url(board: Board, rider: int, variant: int) -> str:
    return url_for("riding.board", session_id=board.session.id, rider=rider, variant=variant)


def fault_keys(offers: Iterable[Offer], ticks: Collection[str]) -> list[FaultKey]:
    """A key for each fault, two for one that has a side, in the order of the offers."""
    found = []
    for offer in offers:
        sides = [side.value for side in Side] if offer.kind.sided else [""]
        for side in sides:
            value = f"{offer.kind.code}:{side}" if side else offer.kind.code
            severity = offer.default.severity
            found.append(FaultKey(value, offer.kind.name, side, severity, value in ticks))
    return found


def split(found: list[FaultKey]) -> tuple[tuple[FaultKey, ...], ...]:
    """The faults in sight, those one tap away, and the remarks."""
    faults = [key for key in found if key.severity is not Severity.REMARK]
    remarks = tuple(key for key in found if key.severity is Severity.REMARK)
    return tuple(faults[:IN_SIGHT]), tuple(faults[IN_SIGHT:]), remarks
