"""Accounts of colleagues, and students invited to their own record."""

from __future__ import annotations

from uuid import uuid4

import pytest
from sqlalchemy import func, select, update

from app.rules.accounts.roles import Actor, Role, system
from app.rules.refusal import Missing, Refused
from app.store.accounts import colleagues, invitations, links, lists, writes
from app.store.accounts.colleagues import Colleague
from app.store.accounts.reads import actor_by_token
from app.store.accounts.tables import AccountRow
from app.store.accounts.writes import Browser
from app.store.database import Database
from app.store.people.tables import InstructorRow, StudentRow
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.clock import START

OWNER = Actor(None, "Olive", frozenset({Role.OWNER}), "test")
DESK = Actor(None, "Dev", frozenset({Role.DESK}), "test")
NEW = "copper kettle winter lane"


def colleague(*roles: Role, email: str = "tess@example.org", name: str = "Tess Knot") -> Colleague:
    return Colleague(name, email, frozenset(roles))


def add(school: Database, typed: Colleague) -> int:
    return colleagues.add(school, OWNER, uuid4(), typed, START, None)


def one(school: Database, account_id: int) -> lists.AccountLine:
    with school.reading() as session:
        return lists.one(session, account_id)


def test_a_colleague_is_invited_with_a_link_to_show(school: Database, who: Cast) -> None:
    by = Actor(who.owner, "Olive", frozenset({Role.OWNER}), "test")
    typed = colleague(Role.DESK, email="Tess@Example.org")
    account_id = colleagues.add(school, by, uuid4(), typed, START, None)
    account = one(school, account_id)
    assert account.email == "tess@example.org"
    assert account.roles == {Role.DESK}
    assert account.state_words == "invited"
    with school.reading() as session:
        assert links.to_show(session, account_id, START) is not None


def test_a_form_sent_twice_makes_one_account(school: Database, who: Cast) -> None:
    key = uuid4()
    ids = {colleagues.add(school, OWNER, key, colleague(Role.DESK), START, None) for _ in range(2)}
    assert len(ids) == 1


def test_an_email_opens_one_account_only(school: Database, who: Cast) -> None:
    with pytest.raises(Refused, match="already") as refused:
        add(school, colleague(Role.DESK, email="DEV@example.org"))
    assert refused.value.reasons[0].field == "email"


def test_a_new_instructor_gets_a_record_and_an_old_one_is_taken_up(
    school: Database, who: Cast
) -> None:
    with school.writing() as session:
        session.add(InstructorRow(name="Tess Knot"))
    add(school, colleague(Role.INSTRUCTOR))
    add(school, colleague(Role.INSTRUCTOR, email="una@example.org", name="Una Dunlin"))
    with school.reading() as session:
        names = select(InstructorRow.name).where(InstructorRow.account_id.is_not(None))
        assert sorted(session.scalars(names)) == [
            "Ines Heron",
            "Ivor Plover",
            "Tess Knot",
            "Una Dunlin",
        ]
        assert session.scalar(select(func.count()).select_from(InstructorRow)) == 4


def edit(school: Database, account_id: int, typed: Colleague, version: int = 1) -> None:
    colleagues.edit(school, OWNER, account_id, version, typed, START)


def test_an_owner_changes_what_a_person_does(school: Database, who: Cast) -> None:
    edit(school, who.desk, colleague(Role.DESK, Role.INSTRUCTOR, email=EMAILS["desk"], name="Dev"))
    account = one(school, who.desk)
    assert account.roles == {Role.DESK, Role.INSTRUCTOR}
    assert (account.name, account.version) == ("Dev", 2)


def test_a_stale_page_changes_nothing(school: Database, who: Cast) -> None:
    typed = colleague(Role.OWNER, email=EMAILS["desk"])
    with pytest.raises(Refused, match="since you opened it"):
        edit(school, who.desk, typed, version=7)
    assert one(school, who.desk).roles == {Role.DESK}


def test_the_last_owner_stays_one_and_stays_open(school: Database, who: Cast) -> None:
    with pytest.raises(Refused, match="Nobody else"):
        edit(school, who.owner, colleague(Role.DESK, email=EMAILS["owner"]))
    with pytest.raises(Refused, match="Nobody else"):
        colleagues.close(school, OWNER, who.owner, START)
    assert one(school, who.owner).active


def test_an_invited_owner_does_not_count_until_they_can_sign_in(
    school: Database, who: Cast
) -> None:
    add(school, colleague(Role.OWNER))
    with pytest.raises(Refused, match="Nobody else"):
        colleagues.close(school, OWNER, who.owner, START)


def test_with_a_second_owner_the_first_may_go(school: Database, who: Cast) -> None:
    colleagues.create_owner(school, system("test"), "Tess Knot", "tess@example.org", NEW, START)
    colleagues.close(school, OWNER, who.owner, START)
    assert not one(school, who.owner).active


def test_a_closed_account_is_out_at_once_and_opens_with_its_old_password(
    school: Database, who: Cast
) -> None:
    browser = Browser("192.0.2.7")
    token = writes.sign_in(school, browser, EMAILS["desk"], PASSWORD, START)
    colleagues.close(school, OWNER, who.desk, START)
    with school.reading() as session:
        assert actor_by_token(session, token, START, "x") is None
    colleagues.reopen(school, OWNER, who.desk, START)
    with school.reading() as session:
        assert actor_by_token(session, token, START, "x") is None
    assert writes.sign_in(school, browser, EMAILS["desk"], PASSWORD, START)


@pytest.mark.parametrize("verb", [colleagues.close, colleagues.reopen])
def test_an_unknown_account_is_missing(school: Database, who: Cast, verb: object) -> None:
    with pytest.raises(Missing):
        verb(school, OWNER, 9999, START)  # type: ignore[operator]


def test_the_first_owner_needs_a_good_password_and_a_free_email(school: Database) -> None:
    by = system("test")
    with pytest.raises(Refused, match="at least 15"):
        colleagues.create_owner(school, by, "Tess Knot", "tess@example.org", "short", START)
    colleagues.create_owner(school, by, "Tess Knot", "Tess@example.org", NEW, START)
    with pytest.raises(Refused, match="already"):
        colleagues.create_owner(school, by, "Tess Knot", "tess@example.org", NEW, START)
    assert writes.sign_in(school, Browser("x"), "tess@example.org", NEW, START)


def newcomer(school: Database, email: str | None) -> int:
    with school.writing() as session:
        row = StudentRow(name="Nell Teal", email=email, category="A", created_at=START)
        session.add(row)
        session.flush()
        return row.id


def invite(school: Database, student_id: int, by: Actor = DESK) -> int:
    return invitations.invite_student(school, by, student_id, START, None)


def test_the_desk_invites_a_student_to_their_own_record(school: Database, who: Cast) -> None:
    student_id = newcomer(school, "Nell@example.org")
    account_id = invite(school, student_id)
    assert one(school, account_id).roles == {Role.STUDENT}
    assert invite(school, student_id) == account_id
    with school.reading() as session:
        row = session.get_one(StudentRow, student_id)
        assert (row.account_id, row.version) == (account_id, 1)


def test_a_student_without_an_email_is_not_invited(school: Database, who: Cast) -> None:
    with pytest.raises(Refused, match="no email"):
        invite(school, newcomer(school, None))


def test_two_students_do_not_share_an_account(school: Database, who: Cast) -> None:
    with pytest.raises(Refused, match="another student"):
        invite(school, newcomer(school, EMAILS["learner"]))


def test_the_desk_cannot_take_an_owners_place_by_an_invitation(school: Database, who: Cast) -> None:
    student_id = newcomer(school, EMAILS["owner"])
    with pytest.raises(Refused, match="colleague"):
        invite(school, student_id)
    with school.reading() as session:
        assert session.get_one(StudentRow, student_id).account_id is None
    assert one(school, who.owner).roles == {Role.OWNER}


def test_the_desk_makes_no_link_for_a_colleague(school: Database, who: Cast) -> None:
    with pytest.raises(Refused, match="Ask an owner"):
        invitations.new_link(school, DESK, who.instructor_account, START, None)


def test_an_owner_invites_a_colleague_who_also_learns(school: Database, who: Cast) -> None:
    assert invite(school, newcomer(school, EMAILS["desk"]), by=OWNER) == who.desk
    assert one(school, who.desk).roles == {Role.DESK, Role.STUDENT}


def test_a_closed_account_gets_no_link(school: Database, who: Cast) -> None:
    colleagues.close(school, OWNER, who.learner_account, START)
    with pytest.raises(Refused, match="closed"):
        invite(school, who.learner)


def test_an_unknown_student_is_missing(school: Database, who: Cast) -> None:
    with pytest.raises(Missing):
        invite(school, 9999)


def test_the_list_says_who_can_come_in_and_when_they_last_did(school: Database, who: Cast) -> None:
    writes.sign_in(school, Browser("x"), EMAILS["desk"], PASSWORD, START)
    with school.writing() as session:
        invited = update(AccountRow).where(AccountRow.id == who.stranger_account)
        session.execute(invited.values(password_hash=None))
    with school.reading() as session:
        lines = {line.account_id: line for line in lists.everyone(session)}
    assert (lines[who.desk].last_in, lines[who.desk].state_words) == (START, "can sign in")
    assert lines[who.stranger_account].state_words == "invited"
    assert lines[who.owner].last_in is None
