"""How a time is said on a day."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from app.rules.diary.facts import Span
from app.rules.diary.span_words import length_words, on_day, over_change
from tests.support.clock import LONDON


def _span(day: date, hour: int, minute: int, minutes: int) -> Span:
    begins = datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)
    return Span(begins, begins + timedelta(minutes=minutes))


def test_over_midnight_the_other_day_is_named() -> None:
    friday = date(2026, 12, 4)
    span = _span(friday, 23, 0, 120)
    assert on_day(span, friday, LONDON) == "23:00 to Sat 01:00"
    assert on_day(span, date(2026, 12, 5), LONDON) == "from Fri 23:00 to 01:00"


def test_one_that_ends_at_midnight_stays_on_its_day() -> None:
    assert on_day(_span(date(2026, 12, 4), 22, 30, 90), date(2026, 12, 4), LONDON) == (
        "22:30 to 00:00"
    )


@pytest.mark.parametrize(
    ("day", "times", "note"),
    [
        (date(2026, 10, 25), "01:30 to 01:30 again", "the clock changes: it lasts 1 hour"),
        (date(2027, 3, 28), "00:30 to 02:30", "the clock changes: it lasts 1 hour"),
        (date(2028, 2, 29), "00:30 to 01:30", None),
    ],
)
def test_over_a_change_of_the_clock_the_true_length_is_said(
    day: date, times: str, note: str | None
) -> None:
    span = _span(day, 0, 30, 60)
    assert (on_day(span, day, LONDON), over_change(span, LONDON)) == (times, note)


@pytest.mark.parametrize(
    ("minutes", "words"), [(15, "15 minutes"), (60, "1 hour"), (135, "2 hours 15 minutes")]
)
def test_a_length(minutes: int, words: str) -> None:
    assert length_words(timedelta(minutes=minutes)) == words
