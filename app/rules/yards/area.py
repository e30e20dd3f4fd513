"""Room to ride: how many riders at once, and which variants a yard can offer."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from app.rules.words import count_words

METRES_PER_FOOT = 0.3048
SITE_FOR_TWO_M = (80 * METRES_PER_FOOT, 30 * METRES_PER_FOOT)
"""The least site for two riding at once, long side first, in metres.

Official: conditions of appointment for training bodies, 80 ft by 30 ft, larger
in proportion for more riders.
"""

AREA_EACH_M2 = SITE_FOR_TWO_M[0] * SITE_FOR_TWO_M[1] / 2
"""1,200 sq ft (111.5 m²) for each rider. Derived from the site for two."""

RIDERS_FOR_ONE_INSTRUCTOR = 4
"""Trainees on the site for one instructor. Common practice, no source."""

# Sites are kept to a tenth of a metre, so a length may really be this much longer.
_HALF_A_STEP_M = 0.05


@dataclass(frozen=True, slots=True)
class YardFacts:
    """What the rules need to know of a yard; lengths in metres."""

    length_m: float
    width_m: float
    speed_run: bool = True
    avoidance_left: bool = True
    avoidance_right: bool = True


@dataclass(frozen=True, slots=True)
class RidersAtOnce:
    """How many may ride at once, what each limit alone would allow, and the tighter in words."""

    riders: int
    by_area: int
    by_ratio: int
    reason: str


def riders_by_area(length_m: float, width_m: float) -> int:
    """How many riders a site of these sides, in metres, has room for at once.

    A site that cannot hold the rectangle for two has room for one at most,
    however large its area: a long strip is not a riding area.
    """
    long_side = max(length_m, width_m) + _HALF_A_STEP_M
    short_side = min(length_m, width_m) + _HALF_A_STEP_M
    by_area = max(0, floor(long_side * short_side / AREA_EACH_M2))
    holds_two = long_side >= SITE_FOR_TWO_M[0] and short_side >= SITE_FOR_TWO_M[1]
    return by_area if holds_two else min(by_area, 1)


def riders_at_once(yard: YardFacts, instructors: int = 1) -> RidersAtOnce:
    """The limit for a yard with this many instructors on it: the lower of area and ratio."""
    by_area = riders_by_area(yard.length_m, yard.width_m)
    by_ratio = instructors * RIDERS_FOR_ONE_INSTRUCTOR
    riders = min(by_area, by_ratio)
    reason = f"{count_words(instructors, 'instructor')} may have {count_words(by_ratio, 'rider')}."
    if by_area < by_ratio:
        reason = f"The site has room for {count_words(by_area, 'rider')} at once."
    return RidersAtOnce(riders, by_area, by_ratio, reason)


def why_not_rideable(
    variant_code: str, yard: YardFacts, *, needs_speed_run: bool = False
) -> str | None:
    """Why this variant cannot be ridden in this yard, in a sentence; None where it can.

    ``needs_speed_run`` says that the manoeuvre starts with a run at speed.
    """
    if needs_speed_run and not yard.speed_run:
        return "This yard has no room for the run at speed."
    if variant_code == "left" and not yard.avoidance_left:
        return "This yard has no safe way out to the left."
    if variant_code == "right" and not yard.avoidance_right:
        return "This yard has no safe way out to the right."
    return None


def rideable(variant_code: str, yard: YardFacts, *, needs_speed_run: bool = False) -> bool:
    """Whether the variant (``only``, ``left`` or ``right``) can be ridden in this yard."""
    return why_not_rideable(variant_code, yard, needs_speed_run=needs_speed_run) is None
