"""What is looked at before anyone rides, and what is written down when something happened."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from app.rules.diary.values import SessionKind
from app.rules.words import count_words
from app.rules.yards.area import RidersAtOnce

FIRST = "Do the safety check of this session before its first ride."

USUAL_CHECKS = (
    "The site is clear, and approved for this.",
    "The surface and the weather allow it.",
    "Everyone has a helmet, gloves, boots, protective clothing and hi-vis on.",
    "Every bike has been looked over.",
    "First aid and everyone’s emergency contact are at hand.",
)
"""Common practice, no source, but for the hi-vis on everyone, which is official (conditions of
appointment for training bodies)."""

RADIOS = "For the road: a radio for each rider, tried, and two riders at most."
"""Official: on the road at most two trainees for an instructor, in radio contact all the time."""

ON_THE_ROAD = frozenset({SessionKind.CBT})
"""Kinds of session that may leave the site (CBT, element E)."""


def checks(kind: SessionKind, limit: RidersAtOnce, booked: int) -> tuple[str, ...]:
    """The sentences that an instructor confirms, for a session with so many riders booked."""
    road = (RADIOS,) if kind in ON_THE_ROAD else ()
    return (*USUAL_CHECKS, *road, at_once(limit, booked))


def at_once(limit: RidersAtOnce, booked: int) -> str:
    """How many ride at the same time, within what the site and the instructor allow."""
    riders = count_words(limit.riders, "rider")
    why = "this site has room for" if limit.by_area < limit.by_ratio else "one instructor may have"
    most = f"At most {riders} at once, as many as {why}."
    if booked <= limit.riders:
        return most
    return f"{most} {booked} are booked, so they take turns."


class IncidentKind(StrEnum):
    """What happened, the least first."""

    NEAR_MISS = "near_miss"
    FALL = "fall"
    INJURY = "injury"


INCIDENT_WORDS = {
    IncidentKind.NEAR_MISS: "Near miss",
    IncidentKind.FALL: "Fall, nobody hurt",
    IncidentKind.INJURY: "Someone is hurt",
}


@dataclass(frozen=True, slots=True)
class NewIncident:
    """What an instructor writes down; ``student_id`` is None when it was none of the riders."""

    incident_id: UUID
    session_id: int
    student_id: int | None
    kind: IncidentKind
    note: str = ""


def letter(kind: IncidentKind, yard: str, when: str, by: str) -> tuple[str, str]:
    """Subject and body of the email to the owner.

    Who it was and what was noted stay in the app: email is read by others.
    """
    what = INCIDENT_WORDS[kind]
    body = (
        f"{by} has recorded: {what.lower()}.\n{yard}, {when}.\n\n"
        "Who it was and what was noted stands in the office of Yardmark, until you close it.\n"
    )
    return f"{what}: {yard}, {when}", body


DEFECTS = (
    "Brakes",
    "Clutch or throttle",
    "Tyre or wheel",
    "Chain",
    "Lights or horn",
    "Lever, peg or bars bent",
    "Leak",
    "Will not start or run",
    "Something else",
)
"""What is wrong with a bike, as it is seen in a yard. Common practice, no source."""


def defect_words(ticked: Collection[str], more: str) -> str:
    """``Brakes, Chain: front lever to the bar``: what the desk reads; empty when nothing is."""
    known = ", ".join(each for each in DEFECTS if each in ticked)
    return ": ".join(part for part in (known, more.strip()) if part)
