"""Each chance opens into its terms, and the words agree with the figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.parameters import Parameters, shipped_parameters
from app.rules.progress.why import Part, why
from tests.rules.progress.made import standing_after

U_TURN = shipped_parameters({1: "u_turn", 2: "park", 3: "slalom"})
WORDS = st.lists(st.text("01", min_size=1, max_size=4), min_size=1, max_size=5).map(" ".join)


def words(ridden: str, days: int = 0) -> dict[Part, str]:
    """The words of each term."""
    found = standing_after(ridden, days, parameters=U_TURN)
    return {one.part: one.words for one in why(found, U_TURN)}


def test_a_hard_manoeuvre_after_some_practice_and_some_days() -> None:
    found = words("1111 1101 111101", days=19)
    assert found[Part.EASE] == "this manoeuvre is one of the hard ones"
    assert found[Part.PRACTICE] == "14 rides of practice"
    assert found[Part.FIRST_CLEAN] == "it has been ridden clean before"
    assert found[Part.GENERAL] == "clearly quicker than most in general"
    assert found[Part.RUST] == "19 days since the last one"


def test_a_student_who_finds_it_hard_is_said_to_be_slower_so_far() -> None:
    found = words("0000 0000")
    assert found[Part.GENERAL] == "clearly slower than most in general"
    assert found[Part.FORM] == "the last few rides of any kind went worse than usual"
    assert Part.FIRST_CLEAN not in found


def test_before_any_ride_only_the_manoeuvre_itself_speaks() -> None:
    assert list(words("")) == [Part.EASE]


def test_the_words_of_a_school_without_figures_compare_with_the_unseen_one() -> None:
    found = standing_after("", parameters=Parameters())
    assert [one.words for one in why(found, Parameters())] == [
        "this manoeuvre is about as hard as most"
    ]


@given(WORDS, st.integers(0, 60))
def test_the_weightiest_term_comes_first_and_each_moves_the_chance_its_way(
    ridden: str, days: int
) -> None:
    causes = why(standing_after(ridden, days, parameters=U_TURN), U_TURN)
    weights = [abs(one.adds) for one in causes]
    assert weights == sorted(weights, reverse=True)
    assert all(one.adds * one.size >= 0 for one in causes)


@given(WORDS, st.integers(0, 60))
def test_the_terms_told_add_up_to_the_level(ridden: str, days: int) -> None:
    found = standing_after(ridden, days, parameters=U_TURN)
    middle = sorted(skill.ease for skill in U_TURN.skills.values())[1]
    assert middle + sum(one.size for one in why(found, U_TURN)) == pytest.approx(found.terms.level)
