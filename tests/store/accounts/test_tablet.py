"""A shared tablet: whose codes open it, how often they are tried, and what they open."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest
from sqlalchemy import func, select

from app.rules.accounts.codes import PERSON_TRIES, TABLET_TRIES
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Refused
from app.store.accounts import tablet, writes
from app.store.accounts.reads import Visit, visit_by_token
from app.store.accounts.tables import AccountRoleRow, AccountRow, CodeTryRow
from app.store.accounts.writes import Browser
from app.store.database import Database
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.clock import START
from tests.support.queries import counted

CODE, OTHER = "2580", "8052"


def enter(school: Database, who: str = "instructor", now: datetime = START) -> str:
    return writes.sign_in(school, Browser("192.0.2.7"), EMAILS[who], PASSWORD, now)


def at(school: Database, token: str, now: datetime = START) -> Visit:
    with school.reading() as session:
        found = visit_by_token(session, token, now, "192.0.2.7")
    assert found is not None
    return found


def with_code(school: Database, account_id: int, code: str, now: datetime = START) -> None:
    by = Actor(account_id, "Someone", frozenset({Role.INSTRUCTOR}), "test")
    tablet.set_code(school, by, PASSWORD, code, now)


def take(school: Database, token: str, account_id: int, code: str, now: datetime = START) -> int:
    here = at(school, token, now).sign_in_id
    return tablet.take_over(school, here, account_id, code, "192.0.2.7", now)


def wrong(school: Database, token: str, account_id: int, now: datetime = START) -> str:
    with pytest.raises(Refused) as refused:
        take(school, token, account_id, "9999", now)
    return str(refused.value)


def test_a_code_puts_a_colleague_at_the_tablet(school: Database, who: Cast) -> None:
    with_code(school, who.other_instructor_account, OTHER)
    token = enter(school)
    assert take(school, token, who.other_instructor_account, OTHER) == who.other_instructor_account
    actor = at(school, token).actor
    assert (actor.name, actor.instructor_id) == ("Ivor Plover", who.other_instructor)
    assert actor.roles == {Role.INSTRUCTOR}


def test_a_code_opens_an_instructors_part_of_an_owner_alone(school: Database, who: Cast) -> None:
    with school.writing() as session:
        account = session.get_one(AccountRow, who.other_instructor_account)
        account.roles.append(AccountRoleRow(role=Role.OWNER))
    with_code(school, who.other_instructor_account, OTHER)
    token = enter(school)
    take(school, token, who.other_instructor_account, OTHER)
    assert at(school, token).actor.roles == {Role.INSTRUCTOR}
    assert Role.OWNER in at(school, enter(school, "other_instructor")).actor.roles


def test_nobody_but_an_instructor_comes_by_code(school: Database, who: Cast) -> None:
    with_code(school, who.owner, CODE)
    with_code(school, who.learner_account, CODE)
    token = enter(school)
    for account in (who.owner, who.learner_account, who.desk, 12345):
        with pytest.raises(Refused, match="Choose who you are"):
            take(school, token, account, CODE)
    with school.reading() as session:
        assert tablet.colleagues(session) == ()


def test_a_closed_account_has_no_code_and_is_at_no_tablet(school: Database, who: Cast) -> None:
    with_code(school, who.other_instructor_account, OTHER)
    token = enter(school)
    take(school, token, who.other_instructor_account, OTHER)
    with school.writing() as session:
        session.get_one(AccountRow, who.other_instructor_account).active = False
    with school.reading() as session:
        assert visit_by_token(session, token, START, "x") is None
        assert tablet.colleagues(session) == ()


def test_one_tablet_takes_a_few_wrong_codes_and_more_after_a_while(
    school: Database, who: Cast
) -> None:
    with_code(school, who.instructor_account, CODE)
    token = enter(school)
    for _ in range(TABLET_TRIES):
        assert "not that person's code" in wrong(school, token, who.instructor_account)
    with pytest.raises(Refused, match="on this tablet"):
        take(school, token, who.instructor_account, CODE)
    later = START + timedelta(minutes=15)
    assert take(school, token, who.instructor_account, CODE, later) == who.instructor_account


def test_wrong_codes_for_one_person_count_on_every_tablet_and_leave_the_password(
    school: Database, who: Cast
) -> None:
    with_code(school, who.instructor_account, CODE)
    for _ in range(PERSON_TRIES // TABLET_TRIES):
        token = enter(school, "other_instructor")
        for _ in range(TABLET_TRIES):
            wrong(school, token, who.instructor_account)
    fresh = enter(school, "other_instructor")
    assert "for this person" in wrong(school, fresh, who.instructor_account)
    assert enter(school, "instructor")
    with_code(school, who.instructor_account, CODE)
    assert take(school, fresh, who.instructor_account, CODE) == who.instructor_account


def test_many_guesses_at_once_are_no_more_than_the_limit(school: Database, who: Cast) -> None:
    with_code(school, who.instructor_account, CODE)
    token = enter(school)
    with ThreadPoolExecutor(8) as pool:
        said = list(pool.map(lambda _: wrong(school, token, who.instructor_account), range(16)))
    assert sum("not that person's code" in each for each in said) == TABLET_TRIES
    with school.reading() as session:
        assert session.scalar(select(func.count()).select_from(CodeTryRow)) == TABLET_TRIES


def test_a_right_code_costs_no_try(school: Database, who: Cast) -> None:
    with_code(school, who.instructor_account, CODE)
    token = enter(school)
    for _ in range(TABLET_TRIES + 2):
        take(school, token, who.instructor_account, CODE)
    with school.reading() as session:
        assert session.scalar(select(func.count()).select_from(CodeTryRow)) == 0


def test_the_day_after_the_password_is_asked_for_first(school: Database, who: Cast) -> None:
    with_code(school, who.instructor_account, CODE)
    token = enter(school)
    tomorrow = START + timedelta(days=1)
    with pytest.raises(Refused, match="first sign-in of a day"):
        take(school, token, who.instructor_account, CODE, tomorrow)
    again = enter(school, "instructor", tomorrow)
    assert take(school, again, who.instructor_account, CODE, tomorrow)


def test_a_code_is_chosen_with_the_password(school: Database, who: Cast) -> None:
    by = Actor(who.instructor_account, "Ines", frozenset({Role.INSTRUCTOR}), "test")
    with pytest.raises(Refused, match="not your password"):
        tablet.set_code(school, by, "something else entirely", CODE, START)
    with school.reading() as session:
        assert tablet.code_set_at(session, who.instructor_account) is None


def test_a_new_code_locks_the_tablet_that_the_old_one_opened(school: Database, who: Cast) -> None:
    with_code(school, who.instructor_account, CODE)
    token = enter(school, "other_instructor")
    take(school, token, who.instructor_account, CODE)
    with_code(school, who.instructor_account, OTHER, START + timedelta(minutes=1))
    assert at(school, token).here.locked_at == START + timedelta(minutes=1)
    assert "not that person's code" in wrong(school, token, who.instructor_account)


def test_everyone_who_was_at_a_tablet_may_have_recorded_what_it_sends(
    school: Database, who: Cast
) -> None:
    with_code(school, who.other_instructor_account, OTHER)
    token = enter(school)
    take(school, token, who.other_instructor_account, OTHER)
    with school.reading() as session:
        found = tablet.recorders(session, at(school, token).sign_in_id)
    assert found == {who.instructor_account, who.other_instructor_account}


def test_who_is_at_a_tablet_costs_one_query(school: Database, who: Cast) -> None:
    token = enter(school)
    with counted(school) as statements:
        at(school, token)
    assert len(statements) == 1
