"""Which bike suits which student."""

from __future__ import annotations

from app.rules.categories import Category
from app.rules.diary.facts import BikeState

_ORDER = tuple(Category)


def suits(bike: Category, student: Category) -> bool:
    """Whether a student may train on a bike of this category: their own or a narrower one.

    A wider one is never right; a narrower one is how many begin (common practice, no source).
    """
    return _ORDER.index(bike) <= _ORDER.index(student)


def why_not_bike(bike: BikeState, student: Category) -> str | None:
    """Why a student of this category cannot have this bike, in a sentence; None when they can."""
    if bike.off_road_reason is not None:
        return f"{bike.label} is off the road: {bike.off_road_reason.rstrip('.')}."
    if not suits(bike.category, student):
        return f"{bike.label} is for category {bike.category}, the student is on {student}."
    return None


def preference(bike: Category, student: Category) -> int:
    """How far a bike is from the student's own category; 0 is best. Only for one that suits."""
    return _ORDER.index(student) - _ORDER.index(bike)
