"""A simulated rider: strength that practice builds and time wears away, and hazards of faults.

All numbers here are invented. They were set so that the school's module 1 results
land near the published pass rate, and describe no real rider.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import exp
from random import Random

from app.rules.riding.marking import SpeedResult, judge_speed, mark
from app.rules.riding.values import Outcome, SeenFault, Severity, Side, SpeedSource

# How hard each manoeuvre is for a beginner: expected faults in a first ride.
FIRST_HAZARD = {
    "park": 0.5,
    "wheel": 0.45,
    "slalom": 0.9,
    "figure_of_8": 1.1,
    "slow_ride": 1.0,
    "u_turn": 1.6,
    "controlled_stop": 0.9,
    "emergency_stop": 1.1,
    "avoidance": 1.5,
}
FLOOR_HAZARD = 0.018  # expected faults in a ride of a rider who has learnt it
GROWTH = 0.27  # strength gained by a ride, for a rider of middling talent
MOST_STRENGTH = 4.6
FIRST_HALF_LIFE = 24.0  # days in which half of the strength is lost after one session
WEATHER = {"dry": 1.0, "damp": 1.15, "wet": 1.4}
WINDY = 1.12


@dataclass(frozen=True, slots=True)
class CourseVariant:
    """One variant of the course as the simulation needs it, with the faults offered in it."""

    id: int
    manoeuvre: str
    code: str
    faults: tuple[tuple[str, Severity, bool], ...]
    has_minimum: bool


@dataclass(frozen=True, slots=True)
class SimulatedRide:
    """What came of one simulated ride; ``speed_kmh`` in km/h where one was measured."""

    variant: CourseVariant
    outcome: Outcome
    speed_result: SpeedResult
    faults: tuple[SeenFault, ...]
    speed_kmh: float | None
    source: SpeedSource | None
    second_try: bool


@dataclass(slots=True)
class _Strength:
    value: float = 0.0
    day: int = 0
    sessions: int = 0


@dataclass(slots=True)
class Rider:
    """One simulated student. ``minimum_kmh`` is the minimum speed of their category."""

    talent: float
    nerve: float
    habit: str
    minimum_kmh: float
    _strengths: dict[int, _Strength] = field(default_factory=dict)
    _speed_runs: int = 0

    def hazard(self, variant: CourseVariant, day: int) -> float:
        """The expected number of faults in a ride of the variant on a day."""
        first = FIRST_HAZARD[variant.manoeuvre]
        return first * exp(-self._strength_on(variant, day)) + FLOOR_HAZARD

    def ride(
        self, rng: Random, variant: CourseVariant, day: int, load: float, second_try: bool = False
    ) -> SimulatedRide:
        """Ride once. ``load`` multiplies the hazard: weather, form on the day, nerves."""
        faults = tuple(self._faults(rng, variant, self.hazard(variant, day) * load))
        speed, source = self._speed(rng, variant)
        minimum = self.minimum_kmh if variant.has_minimum else None
        judged = judge_speed(speed, minimum, second_try)
        self._practise(variant, day)
        return SimulatedRide(
            variant, mark(faults, judged), judged.result, faults, speed, source, second_try
        )

    def _strength_on(self, variant: CourseVariant, day: int) -> float:
        strength = self._strengths.get(variant.id)
        if strength is None:
            return 0.0
        half_life = FIRST_HALF_LIFE * strength.sessions
        return strength.value * float(0.5 ** ((day - strength.day) / half_life))

    def _practise(self, variant: CourseVariant, day: int) -> None:
        strength = self._strengths.setdefault(variant.id, _Strength(day=day))
        now = self._strength_on(variant, day) if strength.sessions else 0.0
        strength.sessions += strength.day != day or not strength.sessions
        strength.value = now + GROWTH * self.talent * (1 - now / MOST_STRENGTH)
        strength.day = day
        self._speed_runs += variant.has_minimum

    def _faults(self, rng: Random, variant: CourseVariant, total: float) -> list[SeenFault]:
        weights = [_weight(place, self.habit, fault) for place, fault in enumerate(variant.faults)]
        scale = total / sum(weights)
        return [
            SeenFault(code, _judged(rng, severity), self._side(rng, sided))
            for weight, (code, severity, sided) in zip(weights, variant.faults, strict=True)
            if rng.random() < 1 - exp(-weight * scale)
        ]

    def _side(self, rng: Random, sided: bool) -> Side | None:
        if not sided:
            return None
        return Side.LEFT if rng.random() < (0.85 if self.habit else 0.5) else Side.RIGHT

    def _speed(
        self, rng: Random, variant: CourseVariant
    ) -> tuple[float | None, SpeedSource | None]:
        if not variant.has_minimum or rng.random() < 0.04:
            return None, None
        shy = (6.0 - self.nerve) * exp(-self._speed_runs / 7)
        speed = self.minimum_kmh + 1.9 + 0.5 * self.nerve - shy + rng.gauss(0, 1.4)
        return round(max(speed, 20.0), 1), SpeedSource.RADAR


def _weight(place: int, habit: str, fault: tuple[str, Severity, bool]) -> float:
    code, severity, _sided = fault
    weight = 1 / (1.6 + place)
    if severity in (Severity.SERIOUS, Severity.DANGEROUS):
        weight *= 0.62
    return weight * HABITS.get((habit, code), 1.0)


HABITS = {
    ("looks_at_cone", "looked_at_cone"): 25.0,
    ("looks_at_cone", "cone_touched"): 5.0,
    ("brakes_in_swerve", "braked_in_swerve"): 14.0,
}
"""How much likelier a rider with a habit is to make the fault that goes with it."""


def _judged(rng: Random, severity: Severity) -> Severity:
    if severity is Severity.SERIOUS and rng.random() < 0.12:
        return Severity.RIDING
    return severity


def load_of(rng: Random, surface: str, windy: bool) -> float:
    """How much a session's weather and a rider's form on the day multiply the hazard."""
    return WEATHER[surface] * (WINDY if windy else 1.0) * exp(rng.gauss(0, 0.22))


def choose(rng: Random, rider: Rider, variants: Sequence[CourseVariant], day: int) -> CourseVariant:
    """What an instructor has a rider do next: more often what goes wrong."""
    weights = [0.25 + min(rider.hazard(variant, day), 1.2) for variant in variants]
    return rng.choices(variants, weights)[0]
