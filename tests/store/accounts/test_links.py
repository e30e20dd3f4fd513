"""One-time links: single use, short lived, the newest counts; and passwords set or changed."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.rules.accounts.links import ASKED_IS_SHOWN_FOR, LIFETIMES, LinkPurpose
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Refused
from app.store.accounts import invitations, links, passwords, writes
from app.store.accounts.reads import actor_by_token
from app.store.accounts.tables import OneTimeLinkRow
from app.store.accounts.writes import Browser
from app.store.database import Database
from app.store.outbox import MessageRow
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.clock import START

HERE = Browser("192.0.2.7")
NEW = "copper kettle winter lane"
OWNER = Actor(None, "Olive", frozenset({Role.OWNER}), "test")


def link(school: Database, account_id: int) -> str:
    invitations.new_link(school, OWNER, account_id, START, None)
    with school.reading() as session:
        row = links.by_nonce(session, nonces(school)[-1], START)
    assert row is not None
    return row.nonce


def nonces(school: Database) -> list[str]:
    with school.reading() as session:
        return list(session.scalars(select(OneTimeLinkRow.nonce).order_by(OneTimeLinkRow.id)))


def is_open(school: Database, nonce: str, later: timedelta = timedelta()) -> bool:
    with school.reading() as session:
        return links.by_nonce(session, nonce, START + later) is not None


def set_by(school: Database, nonce: str, password: str = NEW) -> str:
    return passwords.set_by_link(school, HERE, nonce, password, START)


def person(school: Database, token: str) -> Actor | None:
    with school.reading() as session:
        return actor_by_token(session, token, START, "test")


def test_a_link_sets_the_password_and_signs_in(school: Database, who: Cast) -> None:
    token = set_by(school, link(school, who.learner_account))
    actor = person(school, token)
    assert actor is not None
    assert actor.account_id == who.learner_account
    assert writes.sign_in(school, HERE, EMAILS["learner"], NEW, START)
    with pytest.raises(Refused):
        writes.sign_in(school, HERE, EMAILS["learner"], PASSWORD, START)


def test_looking_at_a_link_does_not_use_it_up(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)
    assert is_open(school, nonce)
    assert is_open(school, nonce)


def test_a_link_works_once(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)
    set_by(school, nonce)
    with pytest.raises(Refused, match="used or has run out"):
        set_by(school, nonce, "another lot of plain words")
    assert writes.sign_in(school, HERE, EMAILS["learner"], NEW, START)


def test_of_two_who_use_a_link_at_once_one_gets_in(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)

    def attempt(number: int) -> bool:
        try:
            set_by(school, nonce, f"copper kettle winter {number}")
        except Refused:
            return False
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(attempt, range(4))) == [False, False, False, True]


def test_a_password_that_cannot_be_used_leaves_the_link_open(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)
    with pytest.raises(Refused, match="at least 15"):
        set_by(school, nonce, "short")
    assert is_open(school, nonce)


def test_a_link_runs_out(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)
    hour = LIFETIMES[LinkPurpose.RESET]
    assert is_open(school, nonce, hour - timedelta(seconds=1))
    assert not is_open(school, nonce, hour)


def test_a_newer_link_ends_the_older_of_the_same_person_only(school: Database, who: Cast) -> None:
    older, theirs = link(school, who.learner_account), link(school, who.stranger_account)
    newer = link(school, who.learner_account)
    assert [is_open(school, each) for each in (older, theirs, newer)] == [False, True, True]


def test_a_new_password_ends_every_other_sign_in_and_open_link(school: Database, who: Cast) -> None:
    elsewhere = writes.sign_in(school, HERE, EMAILS["learner"], PASSWORD, START)
    here = writes.sign_in(school, HERE, EMAILS["learner"], PASSWORD, START)
    nonce = link(school, who.learner_account)
    actor = person(school, here)
    assert actor is not None
    token = passwords.change(school, actor, Browser("x", here), PASSWORD, NEW, START)
    assert [person(school, each) is None for each in (elsewhere, here, token)] == [
        True,
        True,
        False,
    ]
    assert not is_open(school, nonce)


def test_a_password_is_changed_only_by_someone_who_knows_it(school: Database, who: Cast) -> None:
    token = writes.sign_in(school, HERE, EMAILS["learner"], PASSWORD, START)
    actor = person(school, token)
    assert actor is not None
    with pytest.raises(Refused, match="not your password") as refused:
        passwords.change(school, actor, HERE, "someone else's words", NEW, START)
    assert refused.value.reasons[0].field == "current"
    assert person(school, token) == actor


def address(purpose: LinkPurpose, nonce: str) -> str:
    return f"https://school.example/{purpose}/{nonce}"


def messages(school: Database) -> list[MessageRow]:
    with school.reading() as session:
        return list(session.scalars(select(MessageRow)))


def test_asking_for_a_password_owes_an_email_with_a_link(school: Database, who: Cast) -> None:
    passwords.ask(school, "192.0.2.7", "LENA@example.org", START, address)
    [message] = messages(school)
    [nonce] = nonces(school)
    assert message.recipient == EMAILS["learner"]
    assert f"https://school.example/reset/{nonce}" in message.body
    assert is_open(school, nonce)


def test_asking_for_an_unknown_email_owes_nothing_and_says_nothing(
    school: Database, who: Cast
) -> None:
    passwords.ask(school, "192.0.2.7", "nobody@example.org", START, address)
    assert messages(school) == []
    assert nonces(school) == []


def waiting(school: Database, later: timedelta = timedelta()) -> list[int]:
    with school.reading() as session:
        return [each.account_id for each in links.waiting(session, START + later)]


def test_without_email_the_desk_sees_who_asked_until_it_makes_a_link(
    school: Database, who: Cast
) -> None:
    for _ in range(2):
        passwords.ask(school, "192.0.2.7", EMAILS["learner"], START, None)
    passwords.ask(school, "192.0.2.7", "nobody@example.org", START, None)
    assert waiting(school) == [who.learner_account]
    assert not any(is_open(school, nonce) for nonce in nonces(school))
    assert waiting(school, ASKED_IS_SHOWN_FOR) == []
    link(school, who.learner_account)
    assert waiting(school) == []


def test_asking_again_leaves_the_desks_link_open(school: Database, who: Cast) -> None:
    nonce = link(school, who.learner_account)
    passwords.ask(school, "192.0.2.7", EMAILS["learner"], START, None)
    assert is_open(school, nonce)
