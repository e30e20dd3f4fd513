"""The short code of a shared tablet: what it is, how often it is tried, when a tablet locks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.rules.accounts.codes import (
    PERSON_TRIES,
    SEEN_EVERY,
    TABLET_TRIES,
    Presence,
    check_code,
    code_opens,
    is_locked,
    why_no_try,
)
from app.rules.accounts.roles import Role
from app.rules.refusal import Refused

LONDON = ZoneInfo("Europe/London")
NINE = datetime(2026, 7, 2, 8, 0, tzinfo=UTC)  # 09:00 in summer time
HERE = Presence(frozenset({Role.INSTRUCTOR}), False, NINE, NINE, None)


@pytest.mark.parametrize("code", ["2580", "13579", "90210", "12344321"])
def test_four_to_eight_mixed_digits_do(code: str) -> None:
    check_code(code)


@pytest.mark.parametrize("code", ["", "258", "123456789", "25 80", "25a0", "٢٥٨٠", "-258"])
def test_anything_else_is_no_code(code: str) -> None:
    with pytest.raises(Refused, match="4 to 8 digits"):
        check_code(code)


@pytest.mark.parametrize("code", ["0000", "7777777", "1234", "3456789", "9876", "43210"])
def test_runs_are_tried_first_so_they_are_refused(code: str) -> None:
    with pytest.raises(Refused, match="Mix the digits"):
        check_code(code)


def test_tries_are_counted_by_tablet_and_by_person() -> None:
    assert why_no_try(TABLET_TRIES - 1, PERSON_TRIES - 1) is None
    assert "on this tablet" in (why_no_try(TABLET_TRIES, 0) or "")
    assert "for this person" in (why_no_try(0, PERSON_TRIES) or "")


def locked(here: Presence, after: timedelta, minutes: int = 15) -> bool:
    return is_locked(here, NINE + after, LONDON, minutes)


def test_it_locks_when_it_was_left_alone_and_never_early() -> None:
    limit = timedelta(minutes=15) + SEEN_EVERY
    assert not locked(HERE, limit)
    assert locked(HERE, limit + timedelta(seconds=1))


def test_use_keeps_it_open() -> None:
    used = replace(HERE, seen_at=NINE + timedelta(minutes=20))
    assert not locked(used, timedelta(minutes=30))


def test_nought_minutes_never_lock() -> None:
    assert not locked(HERE, timedelta(hours=9), minutes=0)


def test_it_locks_by_hand_whatever_the_minutes() -> None:
    assert locked(replace(HERE, locked_at=NINE), timedelta(), minutes=0)


def test_only_an_instructors_browser_locks_by_itself() -> None:
    desk = replace(HERE, roles=frozenset({Role.DESK, Role.OWNER}))
    assert not locked(desk, timedelta(days=1))


def test_who_came_by_code_stays_until_the_schools_midnight() -> None:
    by_code = replace(HERE, by_code=True)
    last_minute = datetime(2026, 7, 2, 22, 59, tzinfo=UTC) - NINE
    assert not locked(by_code, last_minute, minutes=0)
    assert locked(by_code, last_minute + timedelta(minutes=1), minutes=0)


def test_a_code_is_taken_on_the_day_of_the_password_alone() -> None:
    assert code_opens(NINE, NINE + timedelta(hours=13), LONDON)
    assert not code_opens(NINE, NINE + timedelta(hours=15), LONDON)
