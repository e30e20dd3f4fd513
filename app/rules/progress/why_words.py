"""The terms of a chance as they are told: to instructors with figures, to students without."""

from __future__ import annotations

from collections.abc import Sequence

from app.rules.progress.why import SLIGHT, Because, Part

_HELPS = {
    Part.EASE: "this is one of the kinder ones to learn",
    Part.PRACTICE: "the practice you have put in helps",
    Part.FIRST_CLEAN: "you have ridden it clean before, and so you can again",
    Part.GENERAL: "you pick new things up quickly",
    Part.OWN: "this one suits you",
    Part.FORM: "your last few rides went well",
}

_ASKS = {
    Part.EASE: "this is one of the harder ones, for everyone",
    Part.GENERAL: "more rides of every kind will help this one too",
    Part.OWN: "this one is taking a little longer than the others, and that is all right",
    Part.FORM: "your last few rides were hard work, and form comes back",
    Part.RUST: "it has been a while since you rode it, and a little rust is normal",
}

_A_WHILE = 0.4
"""The size of rust that is worth a word: a week without a ride of it."""


def moved(cause: Because) -> str:
    """How far one term moves the chance, for instructors: "adds 12 in 100"."""
    points = round(abs(cause.adds) * 100)
    if points == 0:
        return "hardly moves it"
    return f"{'adds' if cause.adds > 0 else 'takes'} {points} in 100"


def chance_words(chance: float) -> str:
    """The chance of a clean ride for instructors, never rounded up past what it is."""
    return f"{int(chance * 100)} in 100"


def told_to_student(causes: Sequence[Because]) -> tuple[str, ...]:
    """The same terms for the student as sentences without a figure; slight ones are left out."""
    clear = [cause for cause in causes if abs(cause.size) >= _least(cause.part)]
    told = [(_HELPS if cause.size > 0 else _ASKS)[cause.part] for cause in clear]
    return tuple(f"{words[:1].upper()}{words[1:]}." for words in told)


def _least(part: Part) -> float:
    return _A_WHILE if part is Part.RUST else SLIGHT
