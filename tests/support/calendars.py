"""Calendars for tests: content to write, and what another library reads out of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import vobject
from vobject.icalendar import registerTzid

from app.rules.diary.feeds import EventStatus, FeedEvent, window
from app.rules.settings import SchoolSettings
from app.store.diary.feed_reads import FeedContent
from app.web.diary.ical import written
from tests.support.clock import START

KEY = "6f1f1c1e-5d0b-4a3e-9c55-a0f0c2b7d111"
SCHOOL = SchoolSettings(school_name="Saltmarsh Rider School", calendar_key=KEY)

EVENT = FeedEvent(
    uid="0b0f6ad2-6f3b-4c1e-9a55-1f6a3f1f8a10",
    sequence=0,
    status=EventStatus.CONFIRMED,
    starts_at=START,
    ends_at=START + timedelta(hours=2),
    summary="Module 1 training",
    location="Long yard",
    description="Nobody is booked yet.",
    changed_at=START - timedelta(days=3),
)


@dataclass(frozen=True, slots=True)
class ReadEvent:
    """An event as another library understands it, its times in UTC."""

    uid: str
    sequence: int
    status: str
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str
    description: str
    changed_at: datetime | None


def body(*events: FeedEvent, now: datetime = START, **settings: Any) -> bytes:
    """A calendar with these events, as it is sent."""
    school = replace(SCHOOL, **settings)
    begins, ends = window(now, ZoneInfo(school.time_zone))
    content = FeedContent(school.school_name, begins, ends, events, now)
    return written(content, school, now)


def timed(starts_at: datetime, ends_at: datetime, **changes: Any) -> FeedEvent:
    """An event at a time."""
    return replace(EVENT, starts_at=starts_at, ends_at=ends_at, **changes)


def parse(sent: bytes) -> Any:
    """The calendar as vobject reads it, with no other knowledge of its time zone.

    The zone gets a name that nobody knows, so that the instants can only come from
    the rules that the calendar itself carries.
    """
    text = sent.decode().replace("TZID:Europe/London", "TZID:School/Time")
    text = text.replace("TZID=Europe/London", "TZID=School/Time")
    registerTzid("School/Time", vobject.readOne(text).vtimezone.tzinfo)
    return vobject.readOne(text)


def events_in(sent: bytes) -> list[ReadEvent]:
    """The events of a calendar in the order in which they stand."""
    return [_event(each) for each in parse(sent).contents.get("vevent", [])]


def _event(each: Any) -> ReadEvent:
    changed = each.contents.get("last-modified")
    return ReadEvent(
        uid=each.uid.value,
        sequence=int(each.sequence.value),
        status=each.status.value,
        starts_at=_instant(each.dtstart.value),
        ends_at=_instant(each.dtend.value),
        summary=each.summary.value,
        location=each.location.value,
        description=each.description.value,
        changed_at=_instant(changed[0].value) if changed else None,
    )


def _instant(moment: datetime) -> datetime:
    assert moment.tzinfo is not None, f"{moment} stands in no time zone"
    return moment.astimezone(UTC)
