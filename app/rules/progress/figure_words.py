"""How hard a manoeuvre is, in plain words: how many average beginners ride it clean."""

from __future__ import annotations

from app.rules.progress.model import curve, logistic_of_belief
from app.rules.progress.parameters import Parameters, Skill

LATER_RIDES = 12
"""The number of rides after which the second figure is told."""

_SAME, _LITTLE = 0.05, 0.3
"""On the logit scale: less than about 1 point in 100 is no change, 7 points is a little."""


def first_clean_in_hundred(skill: Skill, parameters: Parameters) -> int:
    """Of 100 average beginners, how many ride it clean the first time."""
    return _in_hundred(skill.ease, parameters)


def later_clean_in_hundred(skill: Skill, parameters: Parameters) -> int:
    """Of 100 average beginners, how many ride it clean after LATER_RIDES rides, one of them clean
    at least."""
    fixed = parameters.constants
    learnt = skill.practice * curve(LATER_RIDES, fixed.power) + fixed.first_clean
    return _in_hundred(skill.ease + learnt, parameters)


def _in_hundred(level: float, parameters: Parameters) -> int:
    fixed = parameters.constants
    spread = fixed.general_variance + fixed.own_variance + fixed.form_variance
    return round(100 * fixed.ceiling * logistic_of_belief(level, spread))


def harder_words(before: Skill, after: Skill) -> str:
    """``a little harder than thought``: what the rides say of it against the figures so far."""
    moved = after.ease - before.ease
    if abs(moved) < _SAME:
        return "as hard as thought"
    much = "a little" if abs(moved) < _LITTLE else "clearly"
    return f"{much} {'easier' if moved > 0 else 'harder'} than thought"
