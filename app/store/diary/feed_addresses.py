"""The secret addresses of calendars: which still work, and whose they are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, and_, case, exists, func, select
from sqlalchemy.orm import Session, aliased

from app.rules.diary.feeds import FeedOwner
from app.rules.refusal import Missing
from app.store.accounts.hashing import token_hash
from app.store.accounts.tables import AccountRow
from app.store.audit import AuditEntryRow
from app.store.diary.tables import CalendarFeedRow
from app.store.people.tables import InstructorRow, StudentRow


@dataclass(frozen=True, slots=True)
class FoundFeed:
    """The calendar behind a secret address. ``over`` is one that was ended, or of somebody
    who has left the school. ``changed_at`` is the school's newest change."""

    owner: FeedOwner
    name: str
    over: bool
    made_at: datetime
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class FeedAddress:
    """Whose calendar it is, and since when it has an address made by whom, if it has one."""

    name: str
    made_at: datetime | None
    made_by: str | None


def find(session: Session, secret: str) -> FoundFeed | None:
    """The calendar at a secret address; None when there never was one. One query.

    It is looked up by the digest of 256 random bits, so how long that takes tells nothing.
    """
    newest = select(func.max(AuditEntryRow.at)).scalar_subquery()
    row = session.execute(
        select(CalendarFeedRow, _works().label("works"), newest.label("newest"))
        .add_columns(InstructorRow.name)
        .outerjoin(InstructorRow, CalendarFeedRow.instructor_id == InstructorRow.id)
        .where(CalendarFeedRow.digest == token_hash(secret))
    ).one_or_none()
    if row is None:
        return None
    feed: CalendarFeedRow = row.CalendarFeedRow
    return FoundFeed(
        owner=FeedOwner(feed.student_id, feed.instructor_id),
        name=row.name or "",
        over=not row.works,
        made_at=feed.made_at,
        changed_at=max(feed.made_at, row.newest or feed.made_at),
    )


def _works() -> ColumnElement[bool]:
    """Whether an address opens anything: not ended, and its person has not left the school.

    The person is the student or the instructor; for the school's own, whoever made it,
    since they know it. An account that is opened again lets it work again.
    """
    feed, account, teaching = CalendarFeedRow, aliased(AccountRow), aliased(InstructorRow)
    student = select(StudentRow.account_id).where(StudentRow.id == feed.student_id)
    teacher = select(teaching.account_id).where(teaching.id == feed.instructor_id)
    person = case(
        (feed.student_id.is_not(None), student.correlate(feed).scalar_subquery()),
        (feed.instructor_id.is_not(None), teacher.correlate(feed).scalar_subquery()),
        else_=feed.made_by,
    )
    closed = exists().where(account.id == person, account.active.is_(False))
    left = exists().where(teaching.id == feed.instructor_id, teaching.active.is_(False))
    return and_(feed.revoked_at.is_(None), ~closed, ~left)


def address(session: Session, owner: FeedOwner) -> FeedAddress:
    """Whose calendar it is and whether it has an address; Missing for nobody's. Two queries."""
    name = _owner_name(session, owner)
    row = session.execute(
        select(CalendarFeedRow.made_at, AccountRow.name)
        .outerjoin(AccountRow, CalendarFeedRow.made_by == AccountRow.id)
        .where(open_feeds(owner), _works())
        .order_by(CalendarFeedRow.id.desc())
        .limit(1)
    ).first()
    return FeedAddress(name, row.made_at if row else None, row.name if row else None)


def open_feeds(owner: FeedOwner) -> ColumnElement[bool]:
    """Which addresses of a calendar have not been ended."""
    return and_(
        CalendarFeedRow.revoked_at.is_(None),
        CalendarFeedRow.student_id.is_not_distinct_from(owner.student_id),
        CalendarFeedRow.instructor_id.is_not_distinct_from(owner.instructor_id),
    )


def _owner_name(session: Session, owner: FeedOwner) -> str:
    if owner.student_id is not None:
        here = (StudentRow.id == owner.student_id) & StudentRow.merged_into_id.is_(None)
        name = session.scalar(select(StudentRow.name).where(here))
    elif owner.instructor_id is not None:
        mine = InstructorRow.id == owner.instructor_id
        name = session.scalar(select(InstructorRow.name).where(mine))
    else:
        return ""
    if name is None:
        raise Missing
    return name
