"""What the owner of a school may set, with the values it starts from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SchoolSettings:
    """The school's own figures.

    ``clean_in_a_row``, ``over_sessions``, ``within_days`` (days) and ``chance``
    (0 to 1) are the four numbers of a steady manoeuvre. ``notice_hours`` is how
    long before a session a cancellation stops being late. ``lock_minutes`` is how
    long an instructor's browser may lie idle before it locks; 0 is never.
    """

    school_name: str = "My riding school"
    time_zone: str = "Europe/London"
    demo: bool = False
    clean_in_a_row: int = 3
    over_sessions: int = 2
    within_days: int = 21
    chance: float = 0.80
    notice_hours: int = 48
    lock_minutes: int = 15
