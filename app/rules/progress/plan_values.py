"""What a practice plan is made of: the ground, the riders, and the blocks with their numbers.

A plan is a value. Whatever an instructor does to it makes another plan, whose
numbers follow (see :mod:`app.rules.progress.plans`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from app.rules.progress.model import curve
from app.rules.progress.priorities import Cause
from app.rules.progress.readiness import Belief, Shared
from app.rules.progress.recalibration import UNTRIED, Recalibration
from app.rules.progress.target import Standing
from app.rules.yards.area import YardFacts, rideable

SET_OUT_MINUTES = 3.0
"""Minutes to set the cones out for another manoeuvre. Invented; the caller may give its own."""

MOST_IN_A_ROW = 2
"""Blocks of one manoeuvre in a row at most. Practice that is spaced and mixed is kept better:
Cepeda, Pashler, Vul, Wixted and Rohrer, "Distributed practice in verbal recall tasks",
Psychological Bulletin, 2006, and Shea and Morgan, "Contextual interference effects", Journal of
Experimental Psychology: Human Learning and Memory, 1979 (both from memory). The number is ours."""


@dataclass(frozen=True, slots=True)
class Option:
    """A variant that can be put in a plan.

    ``code`` is the variant's (``only``, ``left``, ``right``), ``place`` the
    manoeuvre's in the syllabus, ``minutes`` one ride with the way back.
    """

    variant_id: int
    manoeuvre_id: int
    code: str
    place: int
    minutes: float
    speed_run: bool = False


@dataclass(frozen=True, slots=True)
class Ground:
    """Where and for how long: minutes, what may be ridden there today, the minutes of a set-out.

    ``at_once`` is how many ride the same set-out at the same time; the others wait their turn.
    On a ``wet`` surface no run at speed is planned but by the instructor's own hand.
    """

    minutes: float
    options: tuple[Option, ...]
    set_out: float = SET_OUT_MINUTES
    at_once: int = 1
    wet: bool = False

    def option(self, variant_id: int) -> Option | None:
        """The option of a variant, or None where it may not be ridden today."""
        return next((one for one in self.options if one.variant_id == variant_id), None)

    def puts_off(self, option: Option) -> bool:
        """Whether it waits for a drier day: a run at speed on a wet surface.

        Common practice, no source.
        """
        return self.wet and option.speed_run


def allowed(
    options: Iterable[Option], yard: YardFacts, ruled_out: frozenset[int] = frozenset()
) -> tuple[Option, ...]:
    """What may be ridden in a yard, without the variants that are ruled out today (a wet surface,
    a caution of the yard), in the order of the syllabus."""
    found = [
        one
        for one in options
        if one.variant_id not in ruled_out
        and rideable(one.code, yard, needs_speed_run=one.speed_run)
    ]
    return tuple(sorted(found, key=lambda one: (one.place, one.variant_id)))


@dataclass(frozen=True, slots=True)
class Way:
    """One variant as one rider brings it, and what practice today would do for it.

    ``belief`` is about the day of the test, if it is not ridden before. The rest
    is on the logit scale: ``practice`` and ``power`` make the practice curve,
    ``first_clean`` is still to be won by a first clean ride, ``rust`` is what a
    ride today saves by the day of the test. ``clean`` is the chance of a clean
    ride today.
    """

    variant_id: int
    belief: Belief
    rides: int
    practice: float
    power: float
    first_clean: float
    rust: float
    clean: float
    standing: Standing = Standing.WORKING

    def raised(self, more: int) -> float:
        """How much ``more`` rides today raise the level on the day of the test; never below 0."""
        if more == 0:
            return 0.0
        learnt = curve(self.rides + more, self.power) - curve(self.rides, self.power)
        won = self.first_clean * (1.0 - (1.0 - self.clean) ** more)
        return max(0.0, self.practice * learnt + won + self.rust)


@dataclass(frozen=True, slots=True)
class Part:
    """One manoeuvre of the test with its variants; the examiner takes any of them."""

    manoeuvre_id: int
    place: int
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class Trainee:
    """One rider of a plan. ``ruled_out`` are variants that this rider must not be given today."""

    rider_id: int
    parts: tuple[Part, ...]
    shared: Shared
    ruled_out: frozenset[int] = frozenset()
    results: Recalibration = UNTRIED


@dataclass(frozen=True, slots=True)
class Pick:
    """A block before its numbers: so many rounds of a variant, each rider once in a round."""

    variant_id: int
    rounds: int
    pinned: bool = False


class Wait(StrEnum):
    """Why a rider sits out a block."""

    RULED_OUT = "ruled_out"
    TOO_EARLY = "too_early"


@dataclass(frozen=True, slots=True)
class SitsOut:
    """A rider who does not ride a block; ``first`` is the manoeuvre that has to come before."""

    rider_id: int
    why: Wait
    first: int | None = None


@dataclass(frozen=True, slots=True)
class Rise:
    """What a block does for one rider: by how much the chance of passing rises, and the cause."""

    rider_id: int
    rise: float
    cause: Cause


@dataclass(frozen=True, slots=True)
class Block:
    """One block with its numbers; ``begins`` and the minutes count from the start of the plan.

    ``minutes`` has the set-out in it. ``rises`` has one entry for each who rides.
    """

    option: Option
    rounds: int
    pinned: bool
    begins: float
    set_out: float
    minutes: float
    rises: tuple[Rise, ...]
    sits_out: tuple[SitsOut, ...]

    @property
    def pick(self) -> Pick:
        """The block without its numbers."""
        return Pick(self.option.variant_id, self.rounds, self.pinned)

    @property
    def rise(self) -> float:
        """By how much all chances together rise."""
        return sum(one.rise for one in self.rises)


@dataclass(frozen=True, slots=True)
class Outlook:
    """A rider's chance of passing before the plan and, as expected, after it."""

    rider_id: int
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Plan:
    """A practice plan; ``left_out`` are variants that the instructor has dropped from it."""

    ground: Ground
    trainees: tuple[Trainee, ...]
    blocks: tuple[Block, ...]
    outlooks: tuple[Outlook, ...]
    left_out: frozenset[int] = frozenset()

    @property
    def minutes(self) -> float:
        """How long the blocks take together."""
        return sum(block.minutes for block in self.blocks)

    @property
    def picks(self) -> tuple[Pick, ...]:
        """The blocks without their numbers: what is kept of a plan."""
        return tuple(block.pick for block in self.blocks)

    @property
    def put_off(self) -> tuple[Option, ...]:
        """What waits for a drier day and was neither put in nor dropped by the instructor."""
        there = {block.option.variant_id for block in self.blocks} | self.left_out
        return tuple(
            one
            for one in self.ground.options
            if self.ground.puts_off(one) and one.variant_id not in there
        )

    @property
    def begins_at_speed(self) -> bool:
        """Whether the first block is a run at speed, with no slow one to warm up on."""
        return bool(self.blocks) and self.blocks[0].option.speed_run
