"""The record expected of a test is said in tenths."""

from __future__ import annotations

from dataclasses import replace

from app.rules.progress.expected_record import ExpectedExercise, ExpectedRecord
from app.rules.progress.record_words import ends_words, not_ridden_words, riding_words, where_words

RECORD = ExpectedRecord(
    exercises=(
        ExpectedExercise(1, ridden=1.0, serious=0.21, riding=0.6),
        ExpectedExercise(2, ridden=0.79, serious=0.1, riding=1.0),
    ),
    passed=0.6,
    serious=0.29,
    too_many=0.11,
    riding=1.4,
)
NAMES = {1: "Emergency stop", 2: "Avoidance"}


def test_it_is_said_how_a_test_would_end() -> None:
    said = (
        "Of 10 such tests a serious or dangerous fault would end 3,"
        " and too many riding faults alone 1."
    )
    assert ends_words(RECORD) == said
    assert "riding" not in ends_words(replace(RECORD, too_many=0.01))
    assert "hardly one" in ends_words(replace(RECORD, too_many=0.01, serious=0.02))


def test_riding_faults_are_counted_in_whole_ones() -> None:
    assert riding_words(RECORD, 5) == "About 1 riding fault expected; at most 5 may pass."
    more = replace(RECORD, riding=2.6)
    assert riding_words(more, 5) == "About 3 riding faults expected; at most 5 may pass."


def test_it_is_said_where_a_serious_fault_is_most_likely() -> None:
    assert where_words(RECORD, NAMES) == (
        "A serious fault is most likely here: Emergency stop, about 2 in 10."
    )
    good = replace(RECORD, exercises=(ExpectedExercise(1, 1.0, 0.02, 0.1),))
    assert where_words(good, NAMES) == ""


def test_it_is_said_that_an_exercise_may_not_be_ridden() -> None:
    first, second = RECORD.exercises
    assert not_ridden_words(first, "the emergency stop") == ""
    assert not_ridden_words(second, "the emergency stop") == (
        "Not ridden in 2 of 10: it is left out once the emergency stop fails."
    )
