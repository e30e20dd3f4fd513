"""Why the chance is what it is: its terms in words, the weightiest first.

Each term is said with what it rests on, and with how far it moves the chance on
its own: the difference to the chance with that term left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from app.rules.progress.model import logistic_of_belief
from app.rules.progress.parameters import Parameters
from app.rules.progress.standing import Assessment


class Part(StrEnum):
    """One term of the chance."""

    EASE = "ease"
    PRACTICE = "practice"
    FIRST_CLEAN = "first_clean"
    GENERAL = "general"
    OWN = "own"
    FORM = "form"
    RUST = "rust"


@dataclass(frozen=True, slots=True)
class Because:
    """One term: its size on the logit scale, what it adds to the chance, and its words."""

    part: Part
    size: float
    adds: float
    words: str


SLIGHT = 0.15
CLEAR = 0.6
"""On the logit scale near one half: 0.15 moves a chance by about 4 points, 0.6 by about 15."""


def why(assessment: Assessment, parameters: Parameters) -> tuple[Because, ...]:
    """The terms behind an assessment in words, those that move the chance most first.

    Terms that move nothing are left out, except how hard the manoeuvre is.
    """
    terms = assessment.terms
    hardness = terms.ease - _middle_ease(parameters)
    parts = [
        (Part.EASE, hardness, _ease_words(hardness)),
        (Part.PRACTICE, terms.practice, _practice_words(assessment.rides)),
        (Part.FIRST_CLEAN, terms.first_clean, "it has been ridden clean before"),
        (Part.GENERAL, terms.general, f"{_than_most(terms.general)} in general"),
        (Part.OWN, terms.own, f"{_than_expected(terms.own)} on this one"),
        (Part.FORM, terms.form, f"the last few rides of any kind {_went(terms.form)}"),
        (Part.RUST, terms.rust, _rust_words(assessment.days or 0)),
    ]
    found = [
        Because(part, size, _adds(assessment, parameters, size), words)
        for part, size, words in parts
        if part is Part.EASE or abs(size) > 1e-9
    ]
    return tuple(sorted(found, key=lambda one: -abs(one.adds)))


def _adds(assessment: Assessment, parameters: Parameters, size: float) -> float:
    terms = assessment.terms
    without = logistic_of_belief(terms.level - size, terms.variance)
    return terms.chance - parameters.constants.ceiling * without


def _middle_ease(parameters: Parameters) -> float:
    eases = sorted(skill.ease for skill in parameters.skills.values())
    return eases[len(eases) // 2] if eases else parameters.unseen.ease


def _ease_words(hardness: float) -> str:
    if hardness < -CLEAR:
        return "this manoeuvre is one of the hard ones"
    if hardness > CLEAR:
        return "this manoeuvre is one of the easier ones"
    return "this manoeuvre is about as hard as most"


def _practice_words(rides: int) -> str:
    return "1 ride of practice" if rides == 1 else f"{rides} rides of practice"


def _than_most(size: float) -> str:
    if abs(size) < SLIGHT:
        return "about as quick to learn as most"
    much = "clearly " if abs(size) > CLEAR else "a little "
    return much + ("quicker than most" if size > 0 else "slower than most")


def _than_expected(size: float) -> str:
    if abs(size) < SLIGHT:
        return "about as expected"
    much = "clearly " if abs(size) > CLEAR else "a little "
    return much + ("better than expected" if size > 0 else "behind what was expected")


def _went(size: float) -> str:
    if abs(size) < SLIGHT:
        return "went as usual"
    return "went better than usual" if size > 0 else "went worse than usual"


def _rust_words(days: int) -> str:
    if days == 0:
        return "ridden today"
    return "1 day since the last one" if days == 1 else f"{days} days since the last one"
