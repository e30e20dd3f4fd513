"""The instructor's home: my sessions, today's first."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import update

from app.store.database import Database
from app.store.diary.tables import SessionRow
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]


def test_my_sessions_of_today_lead_to_their_boards(visit: Visit, people: Cast) -> None:
    page = visit("instructor").get("/yard")
    assert "08:00\u00a0to\u00a011:00" in page.html
    assert "Long yard, 1 rider" in page.text
    assert "Short yard" not in page.text
    assert f'href="/yard/sessions/{people.session}"' in page.html
    assert f'href="/yard/sessions/{people.other_session}"' not in page.html


def test_the_next_days_stand_apart_from_today(
    visit: Visit, database: Database, people: Cast
) -> None:
    later = START + timedelta(days=3)
    with database.writing() as session:
        session.execute(
            update(SessionRow)
            .filter_by(id=people.session)
            .values(starts_at=later, ends_at=later + timedelta(hours=2))
        )
    page = visit("instructor").get("/yard")
    assert "No session of yours today." in page.text
    assert "Sun 29 Nov 2026, 09:00 to 11:00" in page.text


def test_the_usual_cautions_stand_on_the_page(visit: Visit) -> None:
    text = visit("instructor").get("/yard").text
    assert "the site is clear" in text
    assert "Current official guidance" in text


@pytest.mark.parametrize("who", ["desk", "learner", "owner"])
def test_who_does_not_teach_has_no_yard(visit: Visit, who: str) -> None:
    visit(who).get("/yard", status=403)


def test_the_page_asks_as_much_for_twenty_sessions_as_for_one(
    visit: Visit, database: Database, app_database: Database, people: Cast
) -> None:
    visitor = visit("instructor")
    with counted(app_database) as few:
        visitor.get("/yard")
    with database.writing() as session:
        own = session.get_one(SessionRow, people.session)
        for n in range(20):
            starts = START + timedelta(hours=n + 2)
            facts = {"starts_at": starts, "ends_at": starts + timedelta(hours=1)}
            shared = {"yard_id": own.yard_id, "instructor_id": own.instructor_id}
            session.add(SessionRow(**shared, **facts, kind=own.kind, places=4))
    with counted(app_database) as many:
        visitor.get("/yard")
    assert len(many) == len(few)
