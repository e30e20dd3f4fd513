"""A batch as a tablet hands it in: any JSON in, rides and strikes out, or a sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from math import isfinite
from typing import Any, TypeVar
from uuid import UUID

from app.rules.refusal import Reason, Refused
from app.rules.riding.recording import MOST_FAULTS, NewFault, NewRide, Word
from app.rules.riding.values import Severity, Side, SpeedSource

MOST_ITEMS = 200
MOST_BYTES = 256 * 1024
MOST_REASON = 200
CLOCK_TRUSTED = timedelta(minutes=2)
"""How far a tablet's clock may be off before the times of its rides are put right by it."""

_LARGEST = 2**31 - 1
_YEARS = range(2000, 2100)
_RIDE = frozenset(
    {
        "kind", "id", "session", "student", "variant", "ridden_at", "seq",
        "speed_kmh", "speed_source", "second_try", "faults", "mock_test",
    }
)  # fmt: skip
_STRIKE = frozenset({"kind", "id", "ride", "reason"})
_BATCH = frozenset({"tablet", "clock", "items"})
_FAULT = frozenset({"kind", "severity", "side"})
_Word = TypeVar("_Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class NewStrike:
    """A ride that is taken back: by the ride's id, with the reason to keep."""

    strike_id: UUID
    ride_id: UUID
    reason: str


@dataclass(frozen=True, slots=True)
class Unreadable:
    """An item that says nothing that could be kept; ``sent_id`` is its id as it was sent."""

    sent_id: str | None
    reason: str


Item = NewRide | NewStrike | Unreadable


@dataclass(frozen=True, slots=True)
class ItemAnswer:
    """What became of one item, under the id that it was sent with; None when it had none."""

    sent_id: str | None
    word: Word
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Batch:
    """What one tablet hands in. ``clock`` is the tablet's own time when it sent."""

    tablet: UUID
    clock: datetime
    items: tuple[Item, ...]


def skew_of(clock: datetime, now: datetime) -> timedelta:
    """How far the tablet's clock is ahead, in whole seconds; nothing within two minutes.

    A batch takes a while on its way, so a small difference says nothing.
    """
    ahead = clock - now
    return timedelta(seconds=round(ahead.total_seconds())) if abs(ahead) > CLOCK_TRUSTED else _NONE


_NONE = timedelta(0)


def read_batch(sent: Any, now: datetime) -> Batch:
    """The batch in a piece of JSON; items that cannot be read stand in it with their sentence.

    The times of the rides are put right by the skew of the tablet's clock at
    ``now``. Raises Refused where it is no batch at all.
    """
    try:
        head = _object(sent, _BATCH, "The batch")
        tablet = _uuid(head.get("tablet"), "tablet")
        clock = _moment(head.get("clock"), "clock")
        items = head.get("items")
        if not isinstance(items, list):
            raise _No("items must be a list.")
    except _No as no:
        raise Refused(Reason(str(no))) from None
    skew = skew_of(clock, now)
    return Batch(tablet, clock, tuple(_item(each, tablet, skew) for each in items))


class _No(Exception):
    """Something that cannot be read, in a sentence."""


def _item(sent: Any, tablet: UUID, skew: timedelta) -> Item:
    try:
        kind = sent.get("kind") if isinstance(sent, dict) else None
        if kind == "ride":
            return _ride(_object(sent, _RIDE, "A ride"), tablet, skew)
        if kind == "strike_out":
            return _strike(_object(sent, _STRIKE, "A strike-out"))
        raise _No("An item must be an object whose kind is ride or strike_out.")
    except _No as no:
        named = sent.get("id") if isinstance(sent, dict) else None
        return Unreadable(named if isinstance(named, str) else None, str(no))


def _ride(sent: Mapping[str, Any], tablet: UUID, skew: timedelta) -> NewRide:
    return NewRide(
        attempt_id=_uuid(sent.get("id"), "id"),
        session_id=_whole(sent.get("session"), "session"),
        student_id=_whole(sent.get("student"), "student"),
        variant_id=_whole(sent.get("variant"), "variant"),
        ridden_at=_moment(sent.get("ridden_at"), "ridden_at") - skew,
        faults=_faults(sent.get("faults", [])),
        speed_kmh=_maybe(sent.get("speed_kmh"), _number, "speed_kmh"),
        speed_source=_maybe(sent.get("speed_source"), _word(SpeedSource), "speed_source"),
        second_try=_truth(sent.get("second_try", False), "second_try"),
        mock_test_id=_maybe(sent.get("mock_test"), _uuid, "mock_test"),
        tablet=tablet,
        tablet_seq=_whole(sent.get("seq"), "seq"),
        skew_seconds=round(skew.total_seconds()),
    )


def _faults(sent: Any) -> tuple[NewFault, ...]:
    if not isinstance(sent, list):
        raise _No("faults must be a list.")
    if len(sent) > MOST_FAULTS:
        raise _No(f"Record at most {MOST_FAULTS} things for one ride.")
    return tuple(_fault(_object(each, _FAULT, "A fault")) for each in sent)


def _fault(sent: Mapping[str, Any]) -> NewFault:
    return NewFault(
        _text(sent.get("kind"), "kind"),
        _word(Severity)(sent.get("severity"), "severity"),
        _maybe(sent.get("side"), _word(Side), "side"),
    )


def _strike(sent: Mapping[str, Any]) -> NewStrike:
    return NewStrike(
        _uuid(sent.get("id"), "id"),
        _uuid(sent.get("ride"), "ride"),
        _text(sent.get("reason"), "reason"),
    )


def _object(sent: Any, known: frozenset[str], name: str) -> Mapping[str, Any]:
    if not isinstance(sent, dict):
        raise _No(f"{name} must be an object.")
    if not sent.keys() <= known:
        raise _No(f"{name} has a field that is not known here.")
    return sent


_Value = TypeVar("_Value")


def _maybe(sent: Any, read: Callable[[Any, str], _Value], name: str) -> _Value | None:
    return None if sent is None else read(sent, name)


def _uuid(sent: Any, name: str) -> UUID:
    found = _id_or_none(sent)
    if found is None:
        raise _No(f"{name} must be a UUID.")
    return found


def _id_or_none(sent: Any) -> UUID | None:
    try:
        return UUID(sent) if isinstance(sent, str) and len(sent) == 36 else None
    except ValueError:
        return None


def _whole(sent: Any, name: str) -> int:
    if not isinstance(sent, int) or isinstance(sent, bool) or not 0 <= sent <= _LARGEST:
        raise _No(f"{name} must be a whole number from 0 to {_LARGEST}.")
    return sent


def _number(sent: Any, name: str) -> float:
    if isinstance(sent, bool) or not isinstance(sent, int | float):
        raise _No(f"{name} must be a number.")
    if (isinstance(sent, int) and abs(sent) > _LARGEST) or not isfinite(sent):
        raise _No(f"{name} must be a number.")
    return float(sent)


def _truth(sent: Any, name: str) -> bool:
    if not isinstance(sent, bool):
        raise _No(f"{name} must be true or false.")
    return sent


def _text(sent: Any, name: str) -> str:
    if not isinstance(sent, str) or not 0 < len(sent.strip()) <= MOST_REASON:
        raise _No(f"{name} must be text of 1 to {MOST_REASON} characters.")
    if not sent.isprintable():  # no database keeps a NUL, nor half of a surrogate pair
        raise _No(f"{name} holds a character that cannot be kept.")
    return sent.strip()


def _word(enum: type[_Word]) -> Callable[[Any, str], _Word]:
    def read(sent: Any, name: str) -> _Word:
        if not isinstance(sent, str) or sent not in set(enum):
            raise _No(f"{name} must be one of: {', '.join(enum)}.")
        return enum(sent)

    return read


def _moment(sent: Any, name: str) -> datetime:
    try:
        found = datetime.fromisoformat(sent) if isinstance(sent, str) else None
        if found is None or found.tzinfo is None or found.year not in _YEARS:
            raise ValueError
        return found.astimezone(UTC)
    except ValueError:
        raise _No(f"{name} must be a moment with its time zone, such as "
                  "2026-11-26T09:15:00.120Z.") from None  # fmt: skip
