"""The terms as they are told: figures for instructors, none for students."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.why import Because, Part, why
from app.rules.progress.why_words import chance_words, moved, told_to_student
from tests.rules.progress.made import standing_after
from tests.rules.progress.test_why import U_TURN, WORDS


def told(ridden: str, days: int = 0) -> tuple[str, ...]:
    """What the student is told after these rides."""
    return told_to_student(why(standing_after(ridden, days, parameters=U_TURN), U_TURN))


@pytest.mark.parametrize(
    ("adds", "words"),
    [(0.123, "adds 12 in 100"), (-0.05, "takes 5 in 100"), (0.004, "hardly moves it")],
)
def test_a_term_says_how_far_it_moves_the_chance(adds: float, words: str) -> None:
    assert moved(Because(Part.OWN, 1.0, adds, "")) == words


def test_a_chance_is_not_rounded_up_past_what_it_is() -> None:
    assert chance_words(0.799) == "79 in 100"


def test_a_student_hears_of_rust_only_after_a_week() -> None:
    rust = "It has been a while since you rode it, and a little rust is normal."
    assert rust not in told("111 111", days=5)
    assert rust in told("111 111", days=7)


def test_a_student_hears_that_a_hard_one_is_hard_for_everyone() -> None:
    assert "This is one of the harder ones, for everyone." in told("00 0")


@given(WORDS, st.integers(0, 60))
def test_a_student_reads_no_figure_and_nothing_that_compares_them_with_others(
    ridden: str, days: int
) -> None:
    text = " ".join(told(ridden, days))
    assert not any(letter.isdigit() for letter in text)
    for word in ("slower", "worse", "behind", "most"):
        assert word not in text
