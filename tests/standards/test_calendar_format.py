"""Our calendars against RFC 5545, RFC 5546 and RFC 7986, read by a library that wrote none of them.

The library is vobject; the section of the standard is named beside each check.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.diary.feeds import EventStatus, one_line, plain_text
from tests.support.calendars import EVENT, body, events_in, parse, timed
from tests.support.clock import LONDON, START

BACK = datetime(2026, 10, 25, 1, 0, tzinfo=UTC)  # the clock goes back
FORWARD = datetime(2027, 3, 28, 1, 0, tzinfo=UTC)  # and forward
HOSTILE = st.text(
    st.one_of(
        st.sampled_from('\r\n\t,;:\\"^ \x00\x07\x0b\x0c\x1c\x1d\x1e\x7f\x85\u2028\u2029'),
        st.characters(codec="utf-8"),
    ),
    max_size=400,
)


def lines(sent: bytes) -> list[bytes]:
    """The lines as they are sent, still folded."""
    assert sent.endswith(b"\r\n")
    return sent.removesuffix(b"\r\n").split(b"\r\n")


def is_folded_right(sent: bytes) -> bool:
    """RFC 5545, section 3.1: lines end in CRLF and hold at most 75 octets without it."""
    bare = re.search(rb"(?<!\r)\n|\r(?!\n)", sent)
    return bare is None and all(len(line) <= 75 for line in lines(sent))


@given(name=HOSTILE, remark=HOSTILE, place=HOSTILE)
@example("BEGIN:VEVENT\r\nUID:1", "END:VCALENDAR\r\n", "a\\nb\\,c")
@example("ü" * 100, "\U0001f3cd" * 80, "e\u0301" * 90)
def test_no_text_breaks_the_lines_or_the_meaning(name: str, remark: str, place: str) -> None:
    """Sections 3.1 (content lines) and 3.3.11 (text): escaped, folded, and read as written."""
    sent = body(
        timed(START, START + timedelta(hours=1), summary=name, description=remark, location=place)
    )
    assert is_folded_right(sent)
    sent.decode("utf-8")  # section 3.1.4; no character is cut in two by more than a fold
    (read,) = events_in(sent)
    assert read.summary == one_line(name)
    assert read.description == plain_text(remark)
    assert read.location == one_line(place)


@given(HOSTILE)
def test_the_schools_name_is_text_too(name: str) -> None:
    """RFC 7986, section 5.1: NAME is TEXT, so its commas are escaped."""
    sent = body(EVENT, school_name=name)
    assert is_folded_right(sent)
    assert len(events_in(sent)) == 1
    unfolded = sent.replace(b"\r\n ", b"").decode()
    (written,) = re.findall(r"^NAME:(.*)$", unfolded.replace("\r", ""), re.MULTILINE)
    escaped = one_line(name).replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    assert written == escaped


@pytest.mark.parametrize("hours", [1, 2, 3, 8])
@pytest.mark.parametrize("change", [BACK, FORWARD], ids=["back", "forward"])
def test_a_session_over_a_change_of_the_clock_keeps_its_instants(
    change: datetime, hours: int
) -> None:
    """Section 3.6.5: the zone's own rules, as sent, give back the instants to the second."""
    for minutes in range(-180, 181, 15):
        starts = change + timedelta(minutes=minutes)
        ends = starts + timedelta(hours=hours)
        (read,) = events_in(body(timed(starts, ends), now=change - timedelta(days=5)))
        assert (read.starts_at, read.ends_at) == (starts, ends)


@pytest.mark.parametrize(
    "starts",
    [
        datetime(2028, 2, 29, 9, 0, tzinfo=UTC),  # leap day
        datetime(2028, 2, 28, 23, 30, tzinfo=UTC),  # into it
        datetime(2026, 12, 31, 23, 0, tzinfo=UTC),  # over midnight and the year
        datetime(2027, 6, 30, 23, 0, tzinfo=UTC),  # begins at midnight in summer time
        datetime(2027, 1, 1, 0, 0, tzinfo=UTC),
    ],
)
def test_leap_day_and_midnight(starts: datetime) -> None:
    """Section 3.3.5."""
    ends = starts + timedelta(hours=2)
    (read,) = events_in(body(timed(starts, ends), now=starts - timedelta(days=20)))
    assert (read.starts_at, read.ends_at) == (starts, ends)


@given(
    st.datetimes(datetime(2026, 11, 1), datetime(2027, 11, 20)),
    st.integers(15, 12 * 60),
)
def test_any_session_of_the_year_keeps_its_instants(local: datetime, minutes: int) -> None:
    """Every instant inside the reach of a calendar, to the second that the format can hold."""
    starts = local.replace(microsecond=0, tzinfo=UTC)
    ends = starts + timedelta(minutes=minutes)
    (read,) = events_in(body(timed(starts, ends)))
    assert (read.starts_at, read.ends_at) == (starts, ends)


def test_the_second_of_two_equal_times_is_told_in_utc() -> None:
    """Section 3.3.5: a local time that comes twice means the first of the two."""
    first, second = BACK - timedelta(minutes=30), BACK + timedelta(minutes=30)
    assert first.astimezone(LONDON).time() == second.astimezone(LONDON).time()
    local = body(timed(first, first + timedelta(minutes=20)), now=START - timedelta(days=32))
    assert b"DTSTART;TZID=Europe/London:20261025T013000\r\n" in local
    universal = body(timed(second, second + timedelta(hours=1)), now=START - timedelta(days=32))
    assert b"DTSTART:20261025T013000Z\r\n" in universal


def test_the_zone_changes_at_what_the_old_clock_shows() -> None:
    """Section 3.6.5: DTSTART of a rule is local time by TZOFFSETFROM."""
    zone = parse(body(EVENT)).vtimezone
    begins = {each.dtstart.value: each.tzname.value for each in zone.daylight_list}
    ends = {each.dtstart.value: each.tzname.value for each in zone.standard_list}
    assert begins[datetime(2027, 3, 28, 1)] == "BST"
    assert ends[datetime(2026, 10, 25, 2)] == "GMT"
    assert {each.tzoffsetfrom.value for each in zone.daylight_list} == {"+0000"}
    assert {each.tzoffsetto.value for each in zone.daylight_list} == {"+0100"}


@pytest.mark.parametrize("key", ["UTC", "Asia/Kolkata", "America/St_Johns", "Australia/Lord_Howe"])
def test_a_school_elsewhere_keeps_its_instants(key: str) -> None:
    """Zones without summer time, behind UTC, of half an hour, and with a change of half an hour."""
    for month in range(1, 13):
        starts = datetime(2027, month, 3, 22, 45, tzinfo=UTC)
        sent = body(timed(starts, starts + timedelta(hours=3)), time_zone=key)
        sent = sent.replace(key.encode(), b"Europe/London")
        (read,) = events_in(sent)
        assert read.starts_at == starts
        assert starts.astimezone(ZoneInfo(key)).strftime("%Y%m%dT%H%M%S").encode() in sent


def test_every_event_has_what_a_published_one_must_have() -> None:
    """RFC 5546, section 3.2.1, and RFC 5545, sections 3.6.1, 3.7.2 and 3.7.4."""
    calendar = parse(body(EVENT))
    assert (calendar.version.value, calendar.method.value) == ("2.0", "PUBLISH")
    assert calendar.prodid.value
    (event,) = calendar.vevent_list
    for name in ("uid", "dtstamp", "dtstart", "dtend", "organizer", "summary", "sequence"):
        assert len(event.contents[name]) == 1
    assert event.dtstamp.value == START  # section 3.8.7.2: when this calendar was made


def test_the_organizer_is_an_address_with_or_without_email() -> None:
    """Section 3.3.3: a URI."""
    with_email = parse(body(EVENT, school_email="desk@saltmarsh.example"))
    assert with_email.vevent.organizer.value == "mailto:desk@saltmarsh.example"
    without = parse(body(EVENT)).vevent.organizer.value
    assert UUID(without.removeprefix("urn:uuid:"))


@pytest.mark.parametrize(
    ("status", "blocks"),
    [
        (EventStatus.CONFIRMED, "OPAQUE"),
        (EventStatus.TENTATIVE, "OPAQUE"),
        (EventStatus.CANCELLED, "TRANSPARENT"),
    ],
)
def test_status_and_whether_it_takes_up_time(status: EventStatus, blocks: str) -> None:
    """Sections 3.8.1.11 and 3.8.2.7."""
    event = parse(body(timed(START, START + timedelta(hours=1), status=status))).vevent
    assert (event.status.value, event.transp.value) == (status.value, blocks)


def test_a_reader_is_told_how_often_to_ask() -> None:
    """RFC 7986, section 5.7: the value type is named, since there is none by default."""
    sent = body(EVENT)
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n" in sent
    assert b"X-PUBLISHED-TTL:PT1H\r\n" in sent


def test_an_empty_calendar_is_still_one() -> None:
    assert events_in(body()) == []
