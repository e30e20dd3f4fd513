"""The pages on which a calendar gets its secret address, and loses it."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

import pytest
from sqlalchemy import select

from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary.tables import CalendarFeedRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor

Visit = Callable[[str | None], Visitor]


def address_on(page: Page) -> str:
    """The address that a page shows, in its field and in its link."""
    (field,) = [node for node in page.tree.iter("textarea") if node.get("id") == "address"]
    shown = "".join(field.itertext())
    assert "There is no address yet." not in page.text
    assert "End the address" in page.text
    links = [a.get("href") or "" for a in page.tree.iter("a")]
    assert shown.replace("http://", "webcal://") in links
    assert field.get("readonly") is not None
    return shown.removeprefix("http://localhost")


def feeds(database: Database) -> int:
    with database.reading() as session:
        return len(session.scalars(select(CalendarFeedRow)).all())


def test_a_student_makes_an_address_and_sees_it_once(visit: Visit, people: Cast) -> None:
    learner = visit("learner")
    own = f"/students/{people.learner}/calendar"
    assert f'href="{own}"' in learner.get("/mine").html
    page = learner.get(own)
    assert page.heading == "Your sessions in your own calendar"
    assert "There is no address yet." in page.text
    made = learner.submit(page)
    assert made.response.headers["Cache-Control"] == "private, no-store"
    address = address_on(made)
    assert visit(None).client.get(address).status_code == 200
    later = learner.get(own)
    assert address not in later.html
    assert "The address was made Thu 26 Nov 2026, 09:00." in later.text


def test_sending_the_form_again_does_not_show_the_address_again(
    visit: Visit, database: Database, people: Cast
) -> None:
    learner, own = visit("learner"), f"/students/{people.learner}/calendar"
    page = learner.get(own)
    address = address_on(learner.submit(page))
    again = learner.submit(page)
    assert "It is not kept, so it cannot be shown again." in again.text
    assert address not in again.html
    assert feeds(database) == 1
    assert visit(None).client.get(address).status_code == 200


def test_a_new_address_ends_the_old_one(visit: Visit, people: Cast) -> None:
    learner, own = visit("learner"), f"/students/{people.learner}/calendar"
    first = address_on(learner.send(own))
    page = learner.get(own)
    assert "Making a new one ends the present address at once." in page.text
    second = address_on(learner.submit(page))
    statuses = [visit(None).client.get(address).status_code for address in (first, second)]
    assert statuses == [410, 200]


def test_ending_the_address(visit: Visit, database: Database, people: Cast) -> None:
    learner, own = visit("learner"), f"/students/{people.learner}/calendar"
    address = address_on(learner.send(own))
    page = learner.send(own, action=f"{own}/end")
    assert "The address is ended." in page.text
    assert "There is no address yet." in page.text
    gone = visit(None).client.get(address)
    assert gone.status_code == 410
    with database.reading() as session:
        told = session.scalars(
            select(AuditEntryRow.action)
            .where(AuditEntryRow.subject == "calendar_feeds")
            .order_by(AuditEntryRow.id)
        )
        assert list(told) == ["made address", "revoked address"]


def test_ending_an_address_twice_is_told_plainly(visit: Visit, people: Cast) -> None:
    learner, own = visit("learner"), f"/students/{people.learner}/calendar"
    learner.send(own)
    page = learner.get(own)
    learner.submit(page, action=f"{own}/end")
    again = learner.submit(page, action=f"{own}/end")
    assert "There was no address to end." in again.text


@pytest.mark.parametrize(
    ("who", "path"),
    [
        ("learner", "/students/{stranger}/calendar"),
        ("learner", "/students/999/calendar"),
        ("instructor", "/instructors/{other_instructor}/calendar"),
    ],
)
def test_nobody_makes_or_ends_anothers_address(
    visit: Visit, database: Database, people: Cast, who: str, path: str
) -> None:
    path = path.format(stranger=people.stranger, other_instructor=people.other_instructor)
    visitor = visit(who)
    own = f"/students/{people.learner}" if who == "learner" else f"/instructors/{people.instructor}"
    token = visitor.get(f"{own}/calendar").form().findall(".//input[@name='csrf_token']")
    values = {"csrf_token": token[0].get("value"), "once": str(UUID(int=5))}
    visitor.get(path, status=404)
    visitor.post(path, values, status=404)
    visitor.post(f"{path}/end", values, status=404)
    assert feeds(database) == 0


@pytest.mark.parametrize("path", ["/instructors/{}/calendar", "/calendar"])
def test_a_student_has_no_other_kind_of_calendar(visit: Visit, people: Cast, path: str) -> None:
    visit("learner").get(path.format(people.instructor), status=403)


def test_an_instructor_finds_their_own_from_their_account(visit: Visit, people: Cast) -> None:
    ines, own = visit("instructor"), f"/instructors/{people.instructor}/calendar"
    assert f'href="{own}"' in ines.get("/me").html
    page = ines.get(own)
    assert "by first name and initial only" in page.text
    address = address_on(ines.submit(page))
    sent = visit(None).client.get(address).get_data(as_text=True)
    assert "Lena W." in sent
    assert "Wren" not in sent


def test_the_desk_makes_them_on_request_and_for_the_school(visit: Visit, people: Cast) -> None:
    desk = visit("desk")
    own = f"/students/{people.learner}/calendar"
    assert f'href="{own}"' in desk.get(f"/students/{people.learner}").html
    for path, heading in (
        (own, "Calendar of Lena Wren"),
        (f"/instructors/{people.instructor}/calendar", "Calendar of Ines Heron"),
        ("/calendar", "All sessions in a calendar"),
    ):
        page = desk.get(path)
        assert page.heading == heading
        address = address_on(desk.submit(page))
        assert visit(None).client.get(address).status_code == 200
        assert "by Dev Rook" in desk.get(path).text


def test_a_form_from_another_page_is_out_of_date(
    visit: Visit, database: Database, people: Cast
) -> None:
    learner, own = visit("learner"), f"/students/{people.learner}/calendar"
    page = learner.send(own, {"once": "made up"}, status=422)
    assert "This form is out of date." in page.text
    assert feeds(database) == 0


def test_nobody_has_no_page(visit: Visit) -> None:
    visit("desk").get("/students/999/calendar", status=404)
    visit("desk").get("/instructors/999/calendar", status=404)
