"""What a view of the diary is asked to show."""

from __future__ import annotations

import pytest

from app.rules.diary.showing import SCHOOL, By, Showing, showing_of


@pytest.mark.parametrize("showing", [SCHOOL, Showing(By.YARD), Showing(By.BIKE, 12)])
def test_the_word_of_an_address_comes_back(showing: Showing) -> None:
    assert showing_of(showing.word) == showing


@pytest.mark.parametrize(
    "word",
    [
        "",
        "yard",
        "yard-",
        "yard-0",
        "yard--1",
        "yards-1",
        "bike-1234567890",
        "student-1",
        "bike-1\n",
    ],
)
def test_nonsense_means_nothing(word: str) -> None:
    assert showing_of(word) is None
