"""An instructor rings in ill: the whole morning is planned anew from the desk."""

from __future__ import annotations

from datetime import datetime

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import select

from app.rules.accounts.roles import Role
from app.rules.diary.values import TAKING_STATES
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.outbox import MessageRow
from app.store.people.tables import InstructorRow
from tests.browser.axe import violations
from tests.browser.conftest import Sitting
from tests.browser.devices import DESK
from tests.support.clock import Clock
from tests.support.server import Server

pytestmark = pytest.mark.browser


def _next_full_day(db: Database, now: datetime) -> tuple[int, str, datetime]:
    """The next session with riders: who gives it, their name, and when."""
    with db.reading() as session:
        riders = select(BookingRow.session_id).where(BookingRow.state.in_(TAKING_STATES))
        row = session.execute(
            select(SessionRow.instructor_id, InstructorRow.name, SessionRow.starts_at)
            .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
            .where(SessionRow.starts_at > now, SessionRow.id.in_(riders))
            .order_by(SessionRow.starts_at)
            .limit(1)
        ).one()
        return row.instructor_id, row.name, row.starts_at


def _theirs(db: Database, instructor: int, day: str) -> list[int]:
    """The sessions that an instructor still has to give on a day."""
    with db.reading() as session:
        rows = session.scalars(
            select(SessionRow).where(
                SessionRow.instructor_id == instructor, SessionRow.cancelled_at.is_(None)
            )
        )
        return [row.id for row in rows if row.starts_at.date().isoformat() == day]


def _riders(db: Database) -> dict[int, int]:
    """Which student every place that is taken belongs to."""
    with db.reading() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.state.in_(TAKING_STATES)))
        return {row.id: row.student_id for row in rows}


def _changes(db: Database) -> int:
    with db.reading() as session:
        return len(session.scalars(select(MessageRow.id).where(MessageRow.kind == "change")).all())


def _plan(page: Page, name: str, day: str) -> None:
    """From the desk to the plan, by what stands on the pages."""
    page.get_by_role("link", name="Instructor ill, bike broken").click()
    page.get_by_label("Without").select_option(label=name)
    page.get_by_label("From").fill(day)
    page.get_by_label("To").fill(day)
    page.get_by_role("button", name="Show what that affects").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Plan without {name}")


def test_a_whole_morning_is_planned_anew_and_nobody_is_lost(
    school: Server, sit_down: Sitting, clock: Clock
) -> None:
    db = school.database
    instructor, name, starts = _next_full_day(db, clock())
    day = starts.date().isoformat()
    riders, told = _riders(db), _changes(db)
    page = sit_down(Role.DESK, DESK)
    page.goto("/desk")
    _plan(page, name, day)
    assert violations(page) == []
    page.get_by_role("button", name="Do all of this").click()
    expect(page.get_by_role("heading", level=1)).not_to_have_text(f"Plan without {name}")
    assert _theirs(db, instructor, day) == []
    assert _riders(db) == riders, "everyone who had a place has one"
    assert _changes(db) > told, "and is written to"
    page.goto("/desk")
    _plan(page, name, day)
    expect(page.get_by_text("Nothing is affected.")).to_be_visible()
