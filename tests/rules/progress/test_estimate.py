"""The figures of the manoeuvres, estimated from learners made by another kind of generator."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from app.rules.progress.estimate import (
    Estimate,
    chances_of,
    changes,
    estimate,
    estimate_population,
)
from app.rules.progress.parameters import Parameters, Skill
from app.rules.progress.rivals import RIVALS, learn, regression
from app.rules.progress.scores import Scores, score
from app.rules.progress.sequences import Attempt, Row, attempts, by_student
from tests.rules.progress.simulated import Made, rows

IDS = {"easy": 1, "middling": 2, "hard": 3}
SHIPPED = Parameters(skills={number: Skill(0.0, 0.9) for number in IDS.values()})


@cache
def cohort(learners: int, seed: int) -> list[list[Attempt]]:
    """So many learners with 60 attempts each."""
    students = by_student(rows(Made(learners, 60, seed)))
    return [list(attempts(ridden, dict(IDS))) for ridden in students.values()]


@cache
def fitted() -> Estimate:
    """A school of 150 learners, estimated towards shipped values that are all the same."""
    return estimate(cohort(150, seed=1), SHIPPED)


def scored(parameters: Parameters) -> Scores:
    """The chances under these parameters, for 150 other learners."""
    students = cohort(150, seed=2)
    chances = [chance for student in students for chance in chances_of(student, parameters)]
    clean = [one.evidence.clean for student in students for one in student]
    return score(chances, clean)


def test_the_manoeuvres_come_out_in_the_order_of_their_difficulty() -> None:
    eases = [fitted().parameters.skill(number).ease for number in (1, 2, 3)]
    assert eases[0] > eases[1] + 0.5 > eases[2] + 1.0


def test_the_estimate_says_how_many_attempts_it_rests_on() -> None:
    assert sum(fitted().attempts.values()) == 150 * 60


def test_estimated_figures_predict_other_learners_better_than_the_shipped_ones() -> None:
    assert scored(fitted().parameters).log_loss < scored(SHIPPED).log_loss - 0.002


def test_the_chance_is_calibrated_for_learners_of_another_form() -> None:
    assert scored(fitted().parameters).ece < 0.03


def test_the_model_beats_every_simple_rival_on_other_learners() -> None:
    """The regression is no simple one: on these learners, of whom it has seen many, it is a little
    better, which its own tests are about."""
    students = cohort(150, seed=2)
    known = learn(cohort(150, seed=1))
    clean = [one.evidence.clean for student in students for one in student]
    ours = scored(fitted().parameters).log_loss
    for rival in RIVALS.values():
        chances = [chance for student in students for chance in rival(student, known)]
        allowed = 0.01 if rival is regression else 0.0
        assert ours < score(chances, clean).log_loss + allowed


def test_a_single_ride_hardly_moves_a_shipped_figure() -> None:
    [student] = cohort(1, seed=3)
    [first, *_] = student
    variant = first.evidence.variant_id
    found = estimate([[first]], SHIPPED).parameters.skill(variant)
    assert found.ease == pytest.approx(0.0, abs=0.25)
    assert found.practice == pytest.approx(0.9, abs=1e-6)


def test_more_rides_move_a_figure_further_from_the_shipped_one() -> None:
    few = estimate(cohort(4, seed=1), SHIPPED).parameters.skill(3).ease
    assert fitted().parameters.skill(3).ease < few < 0.0


def test_what_an_estimate_changed_is_told_the_largest_first() -> None:
    told = changes(SHIPPED, fitted())
    assert {one.variant_id for one in told} == {1, 2, 3}
    sizes = [abs(one.after.ease - one.before.ease) for one in told]
    assert sizes == sorted(sizes, reverse=True)
    assert all(one.attempts == fitted().attempts[one.variant_id] for one in told)
    assert changes(SHIPPED, Estimate(SHIPPED)) == ()


def test_without_rides_the_shipped_figures_stay() -> None:
    assert estimate([], SHIPPED).parameters == SHIPPED
    assert estimate_population([]).parameters.skills == {}


def test_an_unseen_manoeuvre_gets_the_middle_of_the_population() -> None:
    names = [f"{key}{copy}" for copy in range(3) for key in IDS]
    numbers = {name: place for place, name in enumerate(names, start=1)}
    students = [
        list(attempts([_renamed(row, place % 3) for row in ridden], numbers))
        for place, ridden in enumerate(by_student(rows(Made(90, 60, 4))).values())
    ]
    found = estimate_population(students).parameters
    eases = [found.skill(number).ease for number in numbers.values()]
    assert found.skill(99) is found.unseen
    assert found.unseen.ease == pytest.approx(sum(eases) / len(eases))


def _renamed(row: Row, copy: int) -> Row:
    return replace(row, manoeuvre=f"{row.manoeuvre}{copy}")
