"""The record expected of a test in words, for instructors."""

from __future__ import annotations

from collections.abc import Mapping

from app.rules.progress.expected_record import ExpectedExercise, ExpectedRecord

TOO_RARE = 0.05


def ends_words(record: ExpectedRecord) -> str:
    """How the test is expected to end, in tenths of all such tests."""
    if record.serious < TOO_RARE and record.too_many < TOO_RARE:
        return "Of 10 such tests hardly one would not be a pass."
    parts = [f"a serious or dangerous fault would end {_of_ten(record.serious)}"]
    if record.too_many >= TOO_RARE:
        parts.append(f"too many riding faults alone {_of_ten(record.too_many)}")
    return "Of 10 such tests " + ", and ".join(parts) + "."


def riding_words(record: ExpectedRecord, most: int) -> str:
    """``About 2 riding faults expected; at most 5 may pass.``"""
    return f"About {_round(record.riding)} expected; at most {most} may pass."


def where_words(record: ExpectedRecord, manoeuvres: Mapping[int, str]) -> str:
    """Where a serious fault is most likely, or nothing where it is rare everywhere."""
    worst = record.costliest
    if worst.ridden * worst.serious < TOO_RARE:
        return ""
    name = manoeuvres[worst.manoeuvre_id]
    return f"A serious fault is most likely here: {name}, {_in_ten(worst.serious)}."


def not_ridden_words(exercise: ExpectedExercise, after: str) -> str:
    """That an exercise may not come to be ridden, or nothing where it almost always is."""
    if 1.0 - exercise.ridden < TOO_RARE:
        return ""
    return (
        f"Not ridden in {_of_ten(1.0 - exercise.ridden)} of 10: it is left out once {after} fails."
    )


def _of_ten(chance: float) -> str:
    tenths = round(chance * 10)
    return str(tenths) if tenths else "less than 1"


def _in_ten(chance: float) -> str:
    tenths = round(chance * 10)
    return f"about {tenths} in 10" if tenths else "less than 1 in 10"


def _round(faults: float) -> str:
    whole = round(faults)
    return "1 riding fault" if whole == 1 else f"{whole} riding faults"
