"""Whether the school's own figures are kept: only where they predict students left out."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.rules.progress.estimate import estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.figure_words import (
    first_clean_in_hundred,
    harder_words,
    later_clean_in_hundred,
)
from app.rules.progress.model import start, terms
from app.rules.progress.model import start_variant as first
from app.rules.progress.parameters import Parameters, Skill
from app.rules.progress.school_figures import (
    FOLDS,
    LEAST_RIDES,
    LEAST_STUDENTS,
    held_out,
    refuse_too_few,
    riders_of,
    shift,
)
from app.rules.progress.sequences import Attempt, attempts_of_rides
from app.rules.progress.target import TargetRule
from app.rules.refusal import Refused
from tests.rules.progress.made import FIRST_DAY, rides
from tests.rules.progress.test_estimate import SHIPPED, cohort

FLAT = Parameters(skills={number: Skill(0.0, 1.0) for number in range(1, FOLDS + 1)})
FAR_OFF = FIRST_DAY + timedelta(days=10_000)


def at_odds(students: int) -> list[list[Attempt]]:
    """Students of whom each fifth rides clean just what all the others do not."""
    return [
        attempts_of_rides(
            Evidence(
                variant_id=1 + n % FOLDS,
                session_id=n // 10,
                ridden_at=FIRST_DAY + timedelta(minutes=n),
                key=f"{student}-{n:03d}",
                clean=n % FOLDS == student % FOLDS,
            )
            for n in range(20)
        )
        for student in range(students)
    ]


def test_figures_that_foresee_students_left_out_are_worth_keeping() -> None:
    tried = held_out(cohort(60, seed=5), SHIPPED, None)
    assert tried.before == tried.shipped
    assert tried.after < tried.before - 0.001
    assert tried.worth_keeping


def test_figures_that_mislead_about_students_left_out_are_not() -> None:
    tried = held_out(at_odds(20), FLAT, None)
    assert tried.after > tried.before + 0.05
    assert not tried.worth_keeping


def test_the_figures_so_far_are_held_to_the_same() -> None:
    tried = held_out(cohort(20, seed=6), SHIPPED, FAR_OFF)
    assert tried.before == tried.after != tried.shipped
    nothing_yet = held_out(cohort(20, seed=6), SHIPPED, FIRST_DAY - timedelta(days=10_000))
    assert nothing_yet.before == nothing_yet.shipped


def test_each_part_is_told_once() -> None:
    told: list[None] = []
    held_out(cohort(10, seed=7), SHIPPED, None, lambda: told.append(None))
    assert len(told) == FOLDS


@pytest.mark.parametrize(
    ("students", "each", "enough"),
    [
        (LEAST_STUDENTS, LEAST_RIDES // LEAST_STUDENTS, True),
        (LEAST_STUDENTS, LEAST_RIDES // LEAST_STUDENTS - 1, False),
        (LEAST_STUDENTS - 1, LEAST_RIDES, False),
    ],
)
def test_too_few_are_refused_with_what_there_is(students: int, each: int, enough: bool) -> None:
    some = [at_odds(1)[0][:1] * each for _ in range(students)]
    if enough:
        refuse_too_few(some)
        return
    with pytest.raises(Refused, match=f"There are {each * students} rides of {students} students"):
        refuse_too_few(some)


def test_a_student_counts_once_for_a_variant() -> None:
    assert riders_of(at_odds(4)) == dict.fromkeys(range(1, FOLDS + 1), 4)


def test_a_harder_manoeuvre_makes_more_flags() -> None:
    easy, hard = (Parameters(skills={1: Skill(ease, 0.0)}) for ease in (4.0, -4.0))
    now = FIRST_DAY + timedelta(days=3)
    ridden = {7: rides("11 11"), 8: rides("0 1"), 9: rides("11 11", variant_id=2)}
    moved = shift(ridden, (easy, hard), frozenset({1}), TargetRule(), now)
    assert (moved.ridden, moved.changed, moved.flags_before, moved.flags_after) == (2, 1, 1, 2)


def test_the_first_figure_is_the_chance_of_an_unknown_student() -> None:
    general, own = start(FLAT).general, first(1, FLAT)
    assert first_clean_in_hundred(FLAT.skill(1), FLAT) == round(
        100 * terms(general, own, FLAT).chance
    )
    assert later_clean_in_hundred(FLAT.skill(1), FLAT) > first_clean_in_hundred(FLAT.skill(1), FLAT)


@pytest.mark.parametrize(
    ("ease", "words"),
    [
        (0.0, "as hard as thought"),
        (0.1, "a little easier than thought"),
        (-0.1, "a little harder than thought"),
        (1.0, "clearly easier than thought"),
        (-1.0, "clearly harder than thought"),
    ],
)
def test_how_hard_is_said_against_what_was_thought(ease: float, words: str) -> None:
    assert harder_words(Skill(0.0, 1.0), Skill(ease, 1.0)) == words


def test_the_same_rides_give_the_same_figures() -> None:
    students = cohort(12, seed=8)
    assert estimate(students, SHIPPED) == estimate(students, SHIPPED)
