"""Secret calendar addresses and what stands behind them, as kept on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select, update

from app.rules.diary.feeds import EventStatus, FeedEvent, FeedOwner
from app.rules.diary.values import BookingState
from app.rules.refusal import Missing, Refused
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.accounts import colleagues
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary import feed_addresses, feed_reads, feed_writes, session_writes
from app.store.diary.feed_reads import FeedContent
from app.store.diary.tables import BookingRow, CalendarFeedRow, SessionRow
from app.store.people.tables import InstructorRow
from app.store.school.writes import change_settings
from tests.support import diary
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK
from tests.support.queries import counted


def make(database: Database, owner: FeedOwner, now: datetime = START) -> str:
    """A new address; its secret."""
    secret = feed_writes.make_feed(database, DESK, owner, uuid4(), now).secret
    assert secret is not None
    return secret


def look(database: Database, secret: str, now: datetime = START) -> FeedContent:
    """What a reader of the address is given."""
    with database.reading() as session:
        found = feed_addresses.find(session, secret)
        assert found is not None
        assert not found.over
        return feed_reads.content(session, found, settings.load(session), now)


def is_over(database: Database, secret: str) -> bool:
    with database.reading() as session:
        found = feed_addresses.find(session, secret)
        assert found is not None
        return found.over


def only(content: FeedContent) -> FeedEvent:
    (event,) = content.events
    return event


def test_only_a_digest_of_the_secret_is_kept(either: Database, people: Cast) -> None:
    secret = make(either, FeedOwner(student_id=people.learner))
    with either.reading() as session:
        row = session.scalars(select(CalendarFeedRow)).one()
        entry = session.scalars(
            select(AuditEntryRow).where(AuditEntryRow.subject == "calendar_feeds")
        ).one()
    assert secret not in f"{vars(row)}{vars(entry)}"
    assert len(secret) >= 43  # 256 bits
    assert (entry.action, entry.details) == (
        "made address",
        {"student": people.learner, "instructor": None},
    )


def test_a_new_address_ends_the_one_before(either: Database, people: Cast) -> None:
    owner = FeedOwner(instructor_id=people.instructor)
    first, second = make(either, owner), make(either, owner)
    assert (is_over(either, first), is_over(either, second)) == (True, False)


def test_a_form_sent_twice_makes_one_address_and_does_not_tell_it_again(
    either: Database, people: Cast
) -> None:
    owner, key = FeedOwner(), uuid4()
    first = feed_writes.make_feed(either, DESK, owner, key, START)
    again = feed_writes.make_feed(either, DESK, owner, key, START)
    assert (again.feed_id, again.secret) == (first.feed_id, None)
    assert first.secret is not None
    assert not is_over(either, first.secret)


def test_an_ended_address_is_over_at_once_and_the_others_are_not(
    either: Database, people: Cast
) -> None:
    owners = (
        FeedOwner(),
        FeedOwner(student_id=people.learner),
        FeedOwner(student_id=people.stranger),
        FeedOwner(instructor_id=people.instructor),
    )
    secrets = [make(either, owner) for owner in owners]
    assert feed_writes.revoke_feed(either, DESK, owners[1], START) == 1
    assert [is_over(either, secret) for secret in secrets] == [False, True, False, False]
    assert feed_writes.revoke_feed(either, DESK, owners[1], START) == 0


def test_an_address_that_never_was_opens_nothing(either: Database, people: Cast) -> None:
    make(either, FeedOwner())
    with either.reading() as session:
        assert feed_addresses.find(session, "guessed") is None
        assert feed_addresses.find(session, "") is None


def test_an_instructor_who_left_has_no_calendar(either: Database, people: Cast) -> None:
    owner = FeedOwner(instructor_id=people.instructor)
    secret = make(either, owner)
    with either.writing() as session:
        session.execute(update(InstructorRow).values(active=False))
    assert is_over(either, secret)
    with pytest.raises(Refused, match="Ines Heron does not teach here now"):
        make(either, owner)


@pytest.mark.parametrize("kind", ["student", "instructor", "school"])
def test_an_address_works_no_longer_than_its_persons_account(
    either: Database, people: Cast, kind: str
) -> None:
    """The school's own address is known to whoever made it, so it ends with them."""
    owner, account = {
        "student": (FeedOwner(student_id=people.learner), people.learner_account),
        "instructor": (FeedOwner(instructor_id=people.instructor), people.instructor_account),
        "school": (FeedOwner(), people.desk),
    }[kind]
    dev, key = replace(DESK, account_id=people.desk), uuid4()
    secret = feed_writes.make_feed(either, dev, owner, key, START).secret or ""
    other = make(either, FeedOwner(student_id=people.stranger))
    colleagues.close(either, DESK, account, START)
    assert (is_over(either, secret), is_over(either, other)) == (True, False)
    with either.reading() as session:
        assert feed_addresses.address(session, owner).made_at is None
    colleagues.reopen(either, DESK, account, START)
    assert not is_over(either, secret)


@pytest.mark.parametrize("owner", [FeedOwner(student_id=999), FeedOwner(instructor_id=999)])
def test_nobody_has_no_calendar(either: Database, people: Cast, owner: FeedOwner) -> None:
    with pytest.raises(Missing):
        make(either, owner)
    with either.reading() as session, pytest.raises(Missing):
        feed_addresses.address(session, owner)


def test_the_page_knows_since_when_but_not_which(either: Database, people: Cast) -> None:
    owner = FeedOwner(student_id=people.learner)
    with either.reading() as session:
        before = feed_addresses.address(session, owner)
    assert (before.name, before.made_at, before.made_by) == ("Lena Wren", None, None)
    feed_writes.make_feed(either, replace(DESK, account_id=people.desk), owner, uuid4(), START)
    with either.reading() as session:
        address = feed_addresses.address(session, owner)
    assert (address.made_at, address.made_by) == (START, "Dev Rook")


def test_the_key_of_the_events_is_made_once_and_outlives_the_settings_form(
    either: Database, people: Cast
) -> None:
    with either.reading() as session:
        opened = settings.load(session)
    secret = make(either, FeedOwner())
    before = {event.uid for event in look(either, secret).events}
    change_settings(either, DESK, replace(opened, school_name="Saltmarsh"), START)
    assert {event.uid for event in look(either, make(either, FeedOwner())).events} == before
    with either.reading() as session:
        assert settings.load(session).calendar_key != ""


def test_each_calendar_holds_its_own(either: Database, people: Cast) -> None:
    learner = look(either, make(either, FeedOwner(student_id=people.learner)))
    assert only(learner).location.startswith("Long yard")
    teacher = look(either, make(either, FeedOwner(instructor_id=people.other_instructor)))
    assert only(teacher).description == "Stan C., Bike 2"
    school = look(either, make(either, FeedOwner()))
    assert len(school.events) == 2
    assert only(teacher).uid in {event.uid for event in school.events}


def test_a_moved_session_keeps_its_uid_and_raises_its_number(
    either: Database, people: Cast
) -> None:
    training = diary.add_session(either, people, instructor_id=people.other_instructor)
    secret = make(either, FeedOwner())
    before = _event_at(look(either, secret), datetime(2026, 11, 27, 9, tzinfo=UTC))
    later = diary.wish(
        people, instructor_id=people.other_instructor, starts=time(13), ends=time(15)
    )
    session_writes.edit_session(either, DESK, training, 1, later, START + timedelta(hours=1))
    after = _event_at(look(either, secret), datetime(2026, 11, 27, 13, tzinfo=UTC))
    assert after.uid == before.uid
    assert after.sequence > before.sequence
    assert after.changed_at == START + timedelta(hours=1)


def _event_at(content: FeedContent, starts_at: datetime) -> FeedEvent:
    (event,) = [event for event in content.events if event.starts_at == starts_at]
    return event


def test_what_was_cancelled_stays_for_thirty_days(either: Database, people: Cast) -> None:
    training = diary.add_session(either, people, day=date(2027, 2, 1))
    booking = diary.book(either, training, people.learner, people.bike)
    own, school = make(either, FeedOwner(student_id=people.learner)), make(either, FeedOwner())
    session_writes.cancel_session(either, DESK, training, _version(either, training), START)
    starts = datetime(2027, 2, 1, 9, tzinfo=UTC)
    for secret in (own, school):
        event = _event_at(look(either, secret), starts)
        assert event.status is EventStatus.CANCELLED
        assert event.sequence > 0
        assert _event_at(look(either, secret, START + timedelta(days=30)), starts)
        late = look(either, secret, START + timedelta(days=31))
        assert starts not in [event.starts_at for event in late.events]
    assert diary.booking(either, booking).state is BookingState.CANCELLED


def _version(database: Database, session_id: int) -> int:
    with database.reading() as session:
        return session.get_one(SessionRow, session_id).version


def test_a_held_place_is_tentative_until_its_time_is_over(either: Database, people: Cast) -> None:
    with either.writing() as session:
        held = {"state": BookingState.HELD, "held_until": START + timedelta(hours=1)}
        session.execute(update(BookingRow).values(**held))
    own = make(either, FeedOwner(student_id=people.learner))
    taught = make(either, FeedOwner(instructor_id=people.instructor))
    assert only(look(either, own)).status is EventStatus.TENTATIVE
    assert only(look(either, taught)).description == "Lena W., Bike 1, held"
    over = START + timedelta(hours=1)
    assert only(look(either, own, over)).status is EventStatus.CANCELLED
    assert only(look(either, taught, over)).description == "Nobody is booked yet."


def test_a_calendar_reaches_thirty_days_back_and_a_year_ahead(
    either: Database, people: Cast
) -> None:
    days = [date(2027, 11, 26), date(2027, 11, 27)]
    for day in days:
        diary.add_session(either, people, day=day)
    secret = make(either, FeedOwner(instructor_id=people.instructor))
    seen = [event.starts_at.date() for event in look(either, secret).events]
    assert seen == [START.date(), days[0]]
    late = look(either, secret, START + timedelta(days=31))
    assert [event.starts_at.date() for event in late.events] == days


def test_a_change_of_anything_moves_the_date_of_the_last_change(
    either: Database, people: Cast
) -> None:
    secret = make(either, FeedOwner())
    assert look(either, secret, START + timedelta(hours=2)).changed_at == START
    changed = START + timedelta(hours=3)
    change_settings(either, DESK, SchoolSettings(school_name="Saltmarsh"), changed)
    assert look(either, secret, START + timedelta(hours=4)).changed_at == changed
    assert look(either, secret, changed - timedelta(hours=1)).changed_at <= changed
    midnight = datetime(2026, 11, 27, tzinfo=UTC)
    assert look(either, secret, midnight + timedelta(hours=5)).changed_at == midnight


@pytest.mark.parametrize("kind", ["student", "instructor", "school"])
def test_a_longer_calendar_asks_no_more(either: Database, people: Cast, kind: str) -> None:
    owners = {
        "student": FeedOwner(student_id=people.learner),
        "instructor": FeedOwner(instructor_id=people.instructor),
        "school": FeedOwner(),
    }
    secret = make(either, owners[kind])
    look(either, secret)
    with counted(either) as few:
        short = look(either, secret)
    diary.fill(either, people)
    for day in range(4):
        training = diary.add_session(
            either, people, day=date(2026, 12, 20 + day), instructor_id=people.instructor
        )
        diary.book(either, training, people.learner, people.bike)
    with counted(either) as many:
        long = look(either, secret)
    assert len(long.events) > len(short.events)
    assert len(many) == len(few) == (3 if kind == "student" else 4)
