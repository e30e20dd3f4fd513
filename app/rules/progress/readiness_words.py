"""The chance of passing in words, without more precision than there is."""

from __future__ import annotations

from app.rules.progress.readiness import Gain, Readiness


def in_tenths(ready: Readiness) -> str:
    """For students and instructors: "about 7 in 10 on what we have seen; between 5 and 8"."""
    low, high = max(0, round(ready.low * 10)), min(10, round(ready.high * 10))
    about = f"{_about(ready.chance)} on what we have seen"
    if low == high:
        return about
    return f"{about}; between {low} and {high}"


def rests_on(results: int) -> str:
    """How many real results stand behind the chances as a whole."""
    if results == 0:
        return "not yet checked against real results"
    return f"checked against {results} real result{'s' if results > 1 else ''}"


def _about(chance: float) -> str:
    if chance < 0.1:
        return "less than 1 in 10"
    if chance > 0.9:
        return "more than 9 in 10"
    return f"about {round(chance * 10)} in 10"


ALREADY_LIKELY = 0.35
"""Below this a figure tells a student nothing that helps. Ours."""

NOT_A_PROMISE = "Nobody can promise a result: the test is the examiner’s."


def in_hundred(ready: Readiness) -> str:
    """For instructors, with the range: "62 in 100; between 41 and 79"."""
    chance, low, high = (round(each * 100) for each in (ready.chance, ready.low, ready.high))
    return f"{chance} in 100; between {low} and {high}"


def to_student(ready: Readiness, untried: int) -> str:
    """The same for the student: no figure before it can be of use, and never a promise.

    ``untried`` is how many manoeuvres of the test they have not ridden yet.
    """
    if untried:
        left = "one manoeuvre" if untried == 1 else f"{untried} manoeuvres"
        return f"There {'is' if untried == 1 else 'are'} still {left} of the test to try first."
    if ready.chance < ALREADY_LIKELY:
        return "You have ridden everything in the test. Each clean ride from here on counts."
    return f"Were the test today: {in_tenths(ready)}. {NOT_A_PROMISE}"


def rise_words(gain: Gain) -> str:
    """How much there is to win with one manoeuvre, for instructors."""
    points = round(gain.rise * 100)
    return f"{points} in 100 more" if points else "less than 1 in 100 more"
