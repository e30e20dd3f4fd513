"""Stepping ride by ride and rebuilding from all rides come to the same student."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import timedelta
from math import isclose
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.progress.estimate import chances_of
from app.rules.progress.evidence import Evidence, evidence_of, in_order
from app.rules.progress.model import (
    advance,
    days_between,
    fold,
    follows,
    start,
    start_variant,
    step,
    terms,
)
from app.rules.progress.parameters import shipped_parameters
from app.rules.progress.sequences import attempts_of_rides
from app.rules.progress.state import (
    LearnerState,
    general_from_plain,
    general_to_plain,
    variant_from_plain,
    variant_to_plain,
)
from app.rules.riding.values import Outcome, Ride
from tests.rules.progress.made import FIRST_DAY, rides

PARAMETERS = shipped_parameters({1: "u_turn", 2: "avoidance", 3: "made by the school"})


def _evidence(key: int, variant: int, session: int, minutes: int, clean: bool) -> Evidence:
    at = FIRST_DAY + timedelta(minutes=minutes)
    return Evidence(variant, session, at, f"{key:04d}", clean)


@st.composite
def histories(draw: st.DrawFn) -> list[Evidence]:
    """Rides of three variants within half a year, several at the same instant, in any order."""
    facts = st.tuples(st.integers(1, 3), st.integers(1, 9), st.integers(0, 260_000), st.booleans())
    drawn = draw(st.lists(facts, max_size=40))
    return [_evidence(key, *fact) for key, fact in enumerate(drawn)]


def arrive(evidences: Iterable[Evidence]) -> LearnerState:
    """Rides taken as they come: a step where it follows, a rebuild where it does not."""
    state, known = start(PARAMETERS), list[Evidence]()
    for evidence in evidences:
        known.append(evidence)
        if follows(state.general, evidence):
            state = step(state, evidence, PARAMETERS)
        else:
            state = fold(known, PARAMETERS)
    return state


def numbers(state: LearnerState) -> list[float]:
    """All figures of a state, in one fixed order."""
    general = state.general
    found = [general.mean, general.variance, general.form_mean, general.form_variance]
    for variant_id in sorted(state.variants):
        variant = state.variants[variant_id]
        found += [variant.mean, variant.variance, variant.rides, variant.clean_rides, variant.run]
    return found


def assert_same(one: LearnerState, other: LearnerState) -> None:
    """Equal to 1e-12 in every figure, and exactly in everything else."""
    assert one.variants.keys() == other.variants.keys()
    assert all(
        isclose(a, b, rel_tol=0.0, abs_tol=1e-12)
        for a, b in zip(numbers(one), numbers(other), strict=True)
    )
    assert one.general.last_at == other.general.last_at
    for variant_id, variant in one.variants.items():
        assert variant.recent == other.variants[variant_id].recent
        assert variant.run_sessions == other.variants[variant_id].run_sessions


@given(histories())
def test_rides_arriving_in_any_order_come_to_the_rebuilt_student(history: list[Evidence]) -> None:
    assert_same(arrive(history), fold(history, PARAMETERS))


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_of_arrival_does_not_matter(history: list[Evidence], dice: Random) -> None:
    shuffled = list(history)
    dice.shuffle(shuffled)
    assert_same(arrive(shuffled), arrive(history))


@given(histories(), st.data())
def test_striking_rides_out_leaves_the_student_who_never_rode_them(
    history: list[Evidence], data: st.DataObject
) -> None:
    kept = [ride for ride in history if data.draw(st.booleans())]
    assert_same(fold(kept, PARAMETERS), arrive(in_order(kept)))


@given(histories())
def test_a_state_survives_being_written_as_json_exactly(history: list[Evidence]) -> None:
    state = fold(history, PARAMETERS)
    general = json.loads(json.dumps(general_to_plain(state.general)))
    assert general_from_plain(general) == state.general
    for variant in state.variants.values():
        plain = json.loads(json.dumps(variant_to_plain(variant)))
        assert variant_from_plain(plain) == variant


@given(histories())
@settings(max_examples=50)
def test_variances_stay_positive_and_chances_stay_chances(history: list[Evidence]) -> None:
    state = fold(history, PARAMETERS)
    assert min(state.general.variance, state.general.form_variance) > 0
    for variant in state.variants.values():
        assert variant.variance > 0
        assert 0 < terms(state.general, variant, PARAMETERS, 3.0, 1.0).chance < 0.95


@given(st.text("01", max_size=60))
def test_a_clean_ride_raises_the_chance_and_another_lowers_it(letters: str) -> None:
    state = fold(rides(letters), PARAMETERS)
    variant = state.variants.get(1) or start_variant(1, PARAMETERS)
    before, *_ = advance(state.general, variant, rides("1")[0], PARAMETERS, 0.0, 0.0)
    chances = {}
    for letter in "01":
        _, general, own = advance(state.general, variant, rides(letter)[0], PARAMETERS, 0.0, 0.0)
        chances[letter] = terms(general, own, PARAMETERS).chance
    assert chances["0"] < chances["1"]
    assert terms(state.general, variant, PARAMETERS).chance == pytest.approx(before, abs=1e-12)


def test_an_older_ride_is_not_stepped_on_top() -> None:
    first, second = rides("10")
    state = step(start(PARAMETERS), second, PARAMETERS)
    with pytest.raises(ValueError, match="rebuild"):
        step(state, first, PARAMETERS)


def test_the_same_ride_is_not_counted_twice_by_a_step() -> None:
    [ride] = rides("1")
    state = step(start(PARAMETERS), ride, PARAMETERS)
    assert not follows(state.general, ride)


def test_the_terms_add_up_to_the_level_behind_the_chance() -> None:
    state = fold(rides("0110 111"), PARAMETERS)
    opened = terms(state.general, state.variants[1], PARAMETERS, days=9.0, idle=9.0)
    parts = [opened.ease, opened.practice, opened.first_clean]
    parts += [opened.general, opened.own, opened.form, opened.rust]
    assert opened.level == pytest.approx(sum(parts))
    assert opened.rust == pytest.approx(-0.2 * 2.302585093)


@pytest.mark.parametrize(
    ("outcome", "struck_out", "expected"),
    [
        (Outcome.CLEAN, False, True),
        (Outcome.RIDING, False, False),
        (Outcome.DANGEROUS, False, False),
        (Outcome.RIDE_AGAIN, False, False),
        (Outcome.UNMEASURED, False, None),
        (Outcome.CLEAN, True, None),
    ],
)
def test_only_rides_that_count_become_evidence(
    outcome: Outcome, struck_out: bool, expected: bool | None
) -> None:
    ride = Ride(FIRST_DAY, 4, 2, outcome, struck_out=struck_out)
    found = evidence_of(ride, "k")
    assert (found and found.clean) == expected


@given(histories())
@settings(max_examples=50)
def test_the_chances_of_a_backtest_are_those_that_stood_before_each_ride(
    history: list[Evidence],
) -> None:
    backtested = chances_of(attempts_of_rides(history), PARAMETERS)
    state = start(PARAMETERS)
    for ride, expected in zip(in_order(history), backtested, strict=True):
        known = state.variants.get(ride.variant_id)
        variant = known or start_variant(ride.variant_id, PARAMETERS)
        days = days_between(variant.last_at, ride.ridden_at)
        idle = days_between(state.general.last_at, ride.ridden_at)
        chance = terms(state.general, variant, PARAMETERS, days, idle).chance
        assert chance == pytest.approx(expected, abs=1e-12)
        state = step(state, ride, PARAMETERS)
