"""Signing in and out, and who is behind a token."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from sqlalchemy import select, update

from app.rules.accounts.links import SIGN_IN_LIFETIME
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Refused
from app.store import settings
from app.store.accounts import hashing, writes
from app.store.accounts.reads import actor_by_token, demo_accounts, has_demo_accounts
from app.store.accounts.tables import AccountRow, SignInRow
from app.store.accounts.writes import Browser
from app.store.database import Database
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.clock import START
from tests.support.queries import counted

HERE = Browser("192.0.2.7")


def enter(school: Database, who: str = "learner", browser: Browser = HERE) -> str:
    return writes.sign_in(school, browser, EMAILS[who], PASSWORD, START)


def behind(school: Database, token: str, later: timedelta = timedelta()) -> Actor | None:
    with school.reading() as session:
        return actor_by_token(session, token, START + later, "192.0.2.7")


def test_a_student_comes_in_with_their_role_and_their_own_record(
    school: Database, who: Cast
) -> None:
    actor = behind(school, enter(school))
    assert actor == Actor(
        account_id=who.learner_account,
        name="Lena Wren",
        roles=frozenset({Role.STUDENT}),
        origin="192.0.2.7",
        student_id=who.learner,
    )


def test_an_instructor_comes_in_with_their_own_record(school: Database, who: Cast) -> None:
    actor = behind(school, enter(school, "instructor"))
    assert actor is not None
    assert (actor.instructor_id, actor.student_id) == (who.instructor, None)


def test_the_person_behind_a_token_costs_one_query(school: Database, who: Cast) -> None:
    token = enter(school)
    with counted(school) as statements, school.reading() as session:
        actor_by_token(session, token, START, "192.0.2.7")
    assert len(statements) == 1


def test_capitals_in_an_email_do_not_matter(school: Database, who: Cast) -> None:
    assert writes.sign_in(school, HERE, "Lena@Example.ORG", PASSWORD, START)


@pytest.mark.parametrize(
    ("email", "password"),
    [(EMAILS["learner"], "not her password at all"), ("nobody@example.org", PASSWORD)],
)
def test_a_wrong_password_and_an_unknown_email_are_told_alike(
    school: Database, who: Cast, email: str, password: str
) -> None:
    with pytest.raises(Refused, match="do not go together"):
        writes.sign_in(school, HERE, email, password, START)


def change(school: Database, whose: str, **values: object) -> None:
    with school.writing() as session:
        session.execute(update(AccountRow).where(AccountRow.email == whose).values(**values))


@pytest.mark.parametrize("values", [{"active": False}, {"password_hash": None}])
def test_a_closed_account_and_an_open_invitation_do_not_let_in(
    school: Database, who: Cast, values: dict[str, object]
) -> None:
    change(school, EMAILS["learner"], **values)
    with pytest.raises(Refused, match="do not go together"):
        enter(school)


def test_a_closed_account_is_out_at_once(school: Database, who: Cast) -> None:
    token = enter(school)
    change(school, EMAILS["learner"], active=False)
    assert behind(school, token) is None


def test_the_database_keeps_no_token(school: Database, who: Cast) -> None:
    token = enter(school)
    with school.reading() as session:
        kept = session.scalars(select(SignInRow.token_hash)).one()
    assert kept == hashing.token_hash(token) != token


def test_signing_in_again_ends_the_browsers_earlier_sign_in(school: Database, who: Cast) -> None:
    first = enter(school)
    second = enter(school, browser=replace(HERE, old_token=first))
    assert behind(school, first) is None
    assert behind(school, second) is not None


def test_another_browser_stays_signed_in(school: Database, who: Cast) -> None:
    first, second = enter(school), enter(school)
    assert behind(school, first) is not None
    assert behind(school, second) is not None


def test_a_sign_in_runs_out(school: Database, who: Cast) -> None:
    token = enter(school)
    assert behind(school, token, SIGN_IN_LIFETIME - timedelta(seconds=1)) is not None
    assert behind(school, token, SIGN_IN_LIFETIME) is None


def test_signing_out_ends_this_browsers_sign_in_only(school: Database, who: Cast) -> None:
    first, second = enter(school), enter(school)
    actor = behind(school, first)
    assert actor is not None
    writes.sign_out(school, actor, first, START)
    assert behind(school, first) is None
    assert behind(school, second) is not None


def test_a_hash_of_older_parameters_is_renewed_at_the_next_sign_in(
    school: Database, who: Cast
) -> None:
    old = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD)
    change(school, EMAILS["learner"], password_hash=old)
    enter(school)
    with school.reading() as session:
        kept = session.get_one(AccountRow, who.learner_account).password_hash or ""
    assert kept != old
    assert not hashing.is_outdated(kept)
    assert hashing.fits(kept, PASSWORD)


def sign_in_of(school: Database, token: str) -> int:
    with school.reading() as session:
        hashed = hashing.token_hash(token)
        return session.scalars(select(SignInRow.id).where(SignInRow.token_hash == hashed)).one()


def test_a_person_ends_their_own_sign_in_elsewhere(school: Database, who: Cast) -> None:
    here, elsewhere = enter(school), enter(school)
    actor = behind(school, here)
    assert actor is not None
    writes.end_sign_in(school, actor, sign_in_of(school, elsewhere), START)
    assert behind(school, elsewhere) is None
    assert behind(school, here) is not None


def test_nobody_ends_anothers_sign_in(school: Database, who: Cast) -> None:
    mine, theirs = enter(school), enter(school, "stranger")
    actor = behind(school, mine)
    assert actor is not None
    with pytest.raises(Missing):
        writes.end_sign_in(school, actor, sign_in_of(school, theirs), START)
    assert behind(school, theirs) is not None


def as_a_demo(school: Database) -> None:
    with school.writing() as session:
        settings.save(session, replace(settings.load(session), demo=True))


def test_a_demo_person_needs_no_password_but_only_in_a_demo(school: Database, who: Cast) -> None:
    change(school, EMAILS["learner"], email="lena@saltmarsh.example")
    with pytest.raises(Missing):
        writes.demo_sign_in(school, HERE, who.learner_account, START)
    as_a_demo(school)
    assert behind(school, writes.demo_sign_in(school, HERE, who.learner_account, START))


def test_a_real_person_in_a_demo_needs_their_password(school: Database, who: Cast) -> None:
    as_a_demo(school)
    with pytest.raises(Missing):
        writes.demo_sign_in(school, HERE, who.owner, START)


def test_a_demo_offers_one_of_each_and_two_who_teach_and_two_who_learn(
    school: Database, who: Cast
) -> None:
    with school.reading() as session:
        assert demo_accounts(session) == ()
        assert not has_demo_accounts(session)
    for email in EMAILS.values():
        change(school, email, email=email.replace("example.org", "saltmarsh.example"))
    with school.reading() as session:
        offered = [each.role for each in demo_accounts(session)]
        assert has_demo_accounts(session)
    assert offered == [Role.OWNER, Role.DESK, *[Role.INSTRUCTOR] * 2, *[Role.STUDENT] * 2]
