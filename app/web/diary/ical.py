"""A calendar as RFC 5545 wants it written, for readers outside the school."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import (
    Calendar,
    Event,
    Timezone,
    TimezoneDaylight,
    TimezoneStandard,
    vCalAddress,
    vDuration,
    vText,
)

from app.rules.diary.feeds import EventStatus, FeedEvent, one_line, plain_text
from app.rules.diary.zone_changes import ZoneChange, zone_changes
from app.rules.settings import SchoolSettings
from app.store.diary.feed_reads import FeedContent

HOURS = 1
"""How often a reader is asked to look for changes; readers do as they like."""


def written(content: FeedContent, school: SchoolSettings, now: datetime) -> bytes:
    """The whole calendar in UTF-8, in lines of at most 75 octets that end in CRLF."""
    zone = ZoneInfo(school.time_zone)
    calendar = Calendar()
    calendar.add("PRODID", "-//Yardmark//Yardmark calendar//EN")
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("METHOD", "PUBLISH")
    for name in ("NAME", "X-WR-CALNAME"):  # RFC 7986, section 5.1, and its older custom
        calendar.add(name, vText(one_line(content.name)))
    every = vDuration(timedelta(hours=HOURS))
    calendar.add("REFRESH-INTERVAL", every, parameters={"VALUE": "DURATION"})  # RFC 7986, 5.7
    calendar.add("X-PUBLISHED-TTL", vText(f"PT{HOURS}H"))  # its older custom
    calendar.add_component(_time_zone(zone, content))
    for event in content.events:
        calendar.add_component(_event(event, school, zone, now))
    body: bytes = calendar.to_ical()
    return body


def _time_zone(zone: ZoneInfo, content: FeedContent) -> Timezone:
    """Every change of the clock in the years of the calendar, one by one (section 3.6.5)."""
    component = Timezone()
    component.add("TZID", zone.key)
    for change in zone_changes(zone, content.begins.year, content.ends.year):
        component.add_component(_observance(change))
    return component


def _observance(change: ZoneChange) -> TimezoneDaylight | TimezoneStandard:
    part = TimezoneDaylight() if change.after.daylight else TimezoneStandard()
    part.add("DTSTART", change.wall)
    part.add("TZOFFSETFROM", change.before)
    part.add("TZOFFSETTO", change.after.offset)
    part.add("TZNAME", change.after.name)
    return part


def _event(event: FeedEvent, school: SchoolSettings, zone: ZoneInfo, now: datetime) -> Event:
    component = Event()
    component.add("UID", event.uid)
    component.add("DTSTAMP", now)  # with a METHOD: when this calendar was made (section 3.8.7.2)
    component.add("SEQUENCE", event.sequence)
    component.add("STATUS", event.status.value)
    starts, ends = _times(event, zone)
    component.add("DTSTART", starts)
    component.add("DTEND", ends)
    component.add("SUMMARY", one_line(event.summary))
    component.add("LOCATION", one_line(event.location))
    component.add("DESCRIPTION", plain_text(event.description))
    component.add("ORGANIZER", _organizer(school))
    component.add("TRANSP", "TRANSPARENT" if event.status is EventStatus.CANCELLED else "OPAQUE")
    if event.changed_at is not None:
        component.add("LAST-MODIFIED", event.changed_at)
    return component


def _times(event: FeedEvent, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The school's own time; UTC when that could be misread.

    A local time that comes twice means the first of the two (section 3.3.5), so the
    second can be told in UTC only.
    """
    local = event.starts_at.astimezone(zone), event.ends_at.astimezone(zone)
    return (event.starts_at, event.ends_at) if any(each.fold for each in local) else local


def _organizer(school: SchoolSettings) -> vCalAddress:
    """Who publishes: METHOD:PUBLISH needs one (RFC 5546, section 3.2.1), with email or without."""
    email = school.school_email
    return vCalAddress(f"mailto:{email}" if email else f"urn:uuid:{school.calendar_key}")
