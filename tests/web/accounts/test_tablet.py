"""The shared tablet: handing over, locking, going on where it was left, and each refusal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from app.rules.accounts.codes import TABLET_TRIES
from app.store import settings
from app.store.database import Database
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.client import Page, Visitor, typed_values
from tests.support.clock import Clock
from tests.support.queries import counted
from tests.web.riding.board import Board

Visit = Callable[..., Visitor]
CODES = {"instructor": "2580", "other_instructor": "8052"}
IDLE = timedelta(minutes=16)


@pytest.fixture
def tablet(visit: Visit) -> Visitor:
    """Ines's tablet. She and Ivor have codes."""
    for who, code in CODES.items():
        set_code(visit(who), code)
    return visit("instructor")


def set_code(visitor: Visitor, code: str, status: int = 200, password: str = PASSWORD) -> Page:
    values = {"proof": password, "code": code}
    return visitor.send("/me", values, action="/me/code", status=status)


def open_by(visitor: Visitor, page: Page, who: int, code: str, status: int = 200) -> Page:
    values = {"who": str(who), "tablet_code": code}
    return visitor.submit(page, values, action="/tablet", status=status)


def send_on(visitor: Visitor, page: Page, who: int, code: str) -> Page:
    """Open the tablet and do as a browser does with the 307: the same form to the new address.

    The test client's own way of following it sends a body that was read already.
    """
    form = {name: value[0] for name, value in typed_values(page.form("/tablet")).items()}
    form |= {"who": str(who), "tablet_code": code}
    answer = visitor.client.post("/tablet", data=form)
    assert answer.status_code == 307
    return visitor.post(answer.location, form)


def hand_over(visitor: Visitor, who: int, code: str, status: int = 200) -> Page:
    return open_by(visitor, visitor.get("/tablet"), who, code, status)


def test_a_colleague_takes_over_and_finds_their_own_sessions(tablet: Visitor, people: Cast) -> None:
    page = hand_over(tablet, people.other_instructor_account, CODES["other_instructor"])
    assert "Ivor Plover is at this tablet." in page.text
    assert "Short yard" in page.text
    tablet.get(f"/yard/sessions/{people.session}", status=404)
    tablet.get(f"/yard/sessions/{people.other_session}")


def test_a_ride_carries_whoever_is_at_the_tablet(
    tablet: Visitor, database: Database, people: Cast
) -> None:
    hand_over(tablet, people.other_instructor_account, CODES["other_instructor"])
    hand_over(tablet, people.instructor_account, CODES["instructor"])
    board = Board(tablet, database, people)
    board.press("clean")
    assert [ride.recorded_by for ride in board.rides()] == [people.instructor_account]


def test_left_alone_it_locks_and_goes_on_at_the_same_page(
    tablet: Visitor, database: Database, people: Cast, clock: Clock
) -> None:
    board = Board(tablet, database, people)
    clock.moment += IDLE
    page = board.open()
    assert page.heading == "This tablet is locked"
    back = open_by(tablet, page, people.instructor_account, CODES["instructor"])
    assert back.path == board.path()


def test_a_ride_pressed_on_a_locked_tablet_is_kept_once_it_is_open(
    tablet: Visitor, database: Database, people: Cast, clock: Clock
) -> None:
    board = Board(tablet, database, people)
    open_board = board.open()
    clock.moment += IDLE
    values = {"press": "faults", "fault": "cone_touched:left"}
    locked = tablet.submit(open_board, values, "/yard/sessions/", status=423)
    assert "not kept yet" in locked.text
    assert board.rides() == []
    wrong = open_by(tablet, locked, people.instructor_account, "9999", status=422)
    send_on(tablet, wrong, people.instructor_account, CODES["instructor"])
    assert len(board.rides()) == 1
    assert [fault[0] for fault in board.faults()] == ["cone_touched"]


def test_what_one_pressed_is_never_kept_in_a_colleagues_name(
    tablet: Visitor, database: Database, people: Cast, clock: Clock
) -> None:
    board = Board(tablet, database, people)
    open_board = board.open()
    clock.moment += IDLE
    locked = tablet.submit(open_board, {"press": "clean"}, "/yard/sessions/", status=423)
    page = open_by(tablet, locked, people.other_instructor_account, CODES["other_instructor"])
    assert "Ivor Plover is at this tablet." in page.text
    assert board.rides() == []


@pytest.mark.parametrize("path", ["/me/password", "//evil.example/", "/sign-out", "yard", ""])
def test_only_a_form_of_the_yard_is_sent_again(tablet: Visitor, people: Cast, path: str) -> None:
    page = tablet.get("/tablet")
    values = {
        "who": str(people.instructor_account),
        "tablet_code": CODES["instructor"],
        "kept_path": path,
    }
    sent = tablet.submit(page, values, action="/tablet")
    assert sent.path == "/yard"


def test_it_locks_by_hand_and_a_password_opens_it_too(tablet: Visitor) -> None:
    tablet.send("/tablet", action="/tablet/lock")
    assert tablet.get("/yard").heading == "This tablet is locked"
    page = tablet.send("/tablet?next=/yard", {"password": PASSWORD}, action="/sign-in")
    assert page.path == "/yard"
    assert page.heading == "My sessions"


def test_the_owner_may_let_it_never_lock(tablet: Visitor, database: Database, clock: Clock) -> None:
    with database.writing() as session:
        settings.save(session, replace(settings.load(session), lock_minutes=0))
    clock.forward(hours=5)
    assert tablet.get("/yard").heading == "My sessions"


def test_use_is_noted_so_that_it_does_not_lock_in_the_middle(tablet: Visitor, clock: Clock) -> None:
    for _ in range(4):
        clock.forward(minutes=10)
        assert tablet.get("/yard").heading == "My sessions"


def test_the_desk_and_a_student_do_not_lock_and_have_no_such_page(
    visit: Visit, clock: Clock, people: Cast
) -> None:
    for who in ("desk", "learner"):
        visitor = visit(who)
        clock.forward(hours=5)
        visitor.get("/me")
        visitor.get("/tablet", status=403)
        assert "shared tablet" not in visitor.get("/me").text


def test_the_next_day_begins_with_a_password(tablet: Visitor, people: Cast, clock: Clock) -> None:
    hand_over(tablet, people.other_instructor_account, CODES["other_instructor"])
    clock.forward(days=1)
    page = tablet.get("/yard")
    assert "first sign-in of a day is by password" in page.text
    assert not [form for form in page.forms() if form.get("action") == "/tablet"]


def test_a_wrong_code_is_said_at_the_field_and_too_many_end_it(
    tablet: Visitor, visit: Visit, people: Cast
) -> None:
    for _ in range(TABLET_TRIES):
        page = hand_over(tablet, people.other_instructor_account, "9999", status=422)
        assert "not that person's code" in page.error_beside("tablet_code")
    right = CODES["other_instructor"]
    page = hand_over(tablet, people.other_instructor_account, right, status=422)
    assert "on this tablet" in page.error_beside("tablet_code")
    visit("other_instructor").get("/yard")


def test_nobody_outside_the_list_is_taken(tablet: Visitor, people: Cast) -> None:
    page = tablet.get("/tablet")
    assert "Olive Marsh" not in page.text
    for who in (people.owner, people.learner_account):
        refused = open_by(tablet, page, who, "2580", status=422)
        assert "Choose one from the list." in refused.text


@pytest.mark.parametrize(
    ("password", "code", "field", "sentence"),
    [
        ("something else entirely", "2580", "proof", "This is not your password."),
        ("", "2580", "proof", "Type your password."),
        (PASSWORD, "", "code", "Choose a code."),
        (PASSWORD, "12", "code", "4 to 8 digits"),
        (PASSWORD, "1234", "code", "Mix the digits."),
    ],
)
def test_what_is_wrong_with_a_new_code_is_said_at_the_field(
    visit: Visit, password: str, code: str, field: str, sentence: str
) -> None:
    page = set_code(visit("instructor"), code, 422, password)
    assert sentence in page.error_beside(field)
    assert "You have none yet." in page.text


def test_who_came_by_code_changes_nothing_that_needs_the_password(
    tablet: Visitor, people: Cast
) -> None:
    hand_over(tablet, people.other_instructor_account, CODES["other_instructor"])
    assert EMAILS["other_instructor"] in tablet.get("/me").text
    set_code(tablet, "7391", 422, "not Ivor's password at all")


def test_the_lock_costs_a_press_no_query(
    tablet: Visitor, database: Database, people: Cast, app: object, clock: Clock
) -> None:
    school: Database = app.extensions["yardmark_database"]  # type: ignore[attr-defined]
    tablet.get("/yard")
    with counted(school) as at_once:
        tablet.get("/yard")
    clock.forward(minutes=1)
    with counted(school) as later:
        tablet.get("/yard")
    assert len(later) == len(at_once) + 1
