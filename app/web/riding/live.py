"""The board as data, for the scripts that go on with it where there is no network."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from app.rules.diary.clock import day_of
from app.rules.riding.syllabus import Offer
from app.rules.words import time_words
from app.store.riding.board import Board, BoardRider
from app.store.riding.course import CourseVariant
from app.store.riding.live import Strips, all_offers, strips_of
from app.store.riding.rides import RideLine
from app.web import context
from app.web.riding.views import BoardView

Plain = dict[str, Any]


def board_data(view: BoardView) -> Plain:
    """Everything on the board for all riders on all manoeuvres, as JSON can hold it."""
    board, reading = view.board, context.reading()
    students = [rider.student_id for rider in board.riders]
    strips = strips_of(reading, students, board.course, context.zone())
    person = context.actor()
    return {
        "session": board.session.id,
        "day": day_of(board.session.starts_at, context.zone()).isoformat(),
        "served": context.today().isoformat(),
        "checked": view.around.checked_at is not None,
        "account": person.account_id,
        "name": person.name,
        "share": board.course.syllabus.speed_rule.allowance_share,
        "riders": [
            _rider(board, rider, strips)
            | _flagged(board, view.standings[rider.student_id])
            | {"mock": view.running.get(rider.student_id)}
            for rider in board.riders
        ],
        "variants": [_variant(each) for each in board.rideable],
        "offers": {m: _offers(o) for m, o in all_offers(reading, board.course).items()},
        "kinds": {
            kind.code: {"name": kind.name, "sided": kind.sided}
            for kind in board.course.syllabus.fault_kinds
        },
        "zone": context.settings().time_zone,
    }


def _rider(board: Board, rider: BoardRider, strips: Strips) -> Plain:
    return {
        "id": rider.student_id,
        "name": rider.name,
        "bike": rider.bike or "no bike",
        "category": rider.category.value,
        "variant": board.variant_of(rider),
        "rides": [_ride(ride) for ride in rider.rides],
        "strips": {
            each.id: [_cone(ride, board) for ride in strips[rider.student_id, each.id]]
            for each in board.rideable
            if (rider.student_id, each.id) in strips
        },
    }


def _flagged(board: Board, standings: Mapping[int, str]) -> Plain:
    """What a rider is flagged for, weakest first. It moves with the next loading of the page."""
    return {"flagged": [[v, board.course.named(v).name, said] for v, said in standings.items()]}


def _ride(ride: RideLine) -> Plain:
    return {
        "id": str(ride.attempt_id),
        "variant": ride.variant_id,
        "name": ride.name,
        "at": ride.ridden_at.isoformat(),
        "time": time_words(ride.ridden_at, context.zone()),
        "outcome": ride.outcome.value,
        "second": ride.second_try,
        "struck": not ride.counts,
        "cone": ride.cone.value,
        "words": ride.words,
        "said": ride.said,
    }


def _cone(ride: RideLine, board: Board) -> list[str]:
    """A cone of a strip. Only a ride of this session can change here, so only it is named."""
    named = str(ride.attempt_id) if ride.session_id == board.session.id else ""
    return [named, ride.cone.value, ride.words]


def _variant(each: CourseVariant) -> Plain:
    least = {category.value: kmh for category, kmh in each.manoeuvre.minimum_kmh.items()}
    return {"id": each.id, "name": each.name, "of": each.manoeuvre.code, "least": least}


def _offers(offers: Iterable[Offer]) -> list[tuple[str, str]]:
    return [(offer.kind.code, offer.default.severity.value) for offer in offers]
